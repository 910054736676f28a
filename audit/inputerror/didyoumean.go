package inputerror

// Nearest returns the known word that a person most likely meant: at most two
// letters wrong, or one in a short word, where two letters changing places are
// one. It returns "" when no word is near.
func Nearest(word string, known []string) string {
	best, least := "", 3
	for _, k := range known {
		most := 2
		if len(k) < 5 {
			most = 1
		}
		if d := distance([]rune(word), []rune(k), most); d <= most && d < least {
			best, least = k, d
		}
	}
	return best
}

// distance is the optimal string alignment distance of two words, or most+1
// when it is more than most.
func distance(a, b []rune, most int) int {
	if len(a)-len(b) > most || len(b)-len(a) > most {
		return most + 1
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], most+1)
}

// DidYouMean is the hint for a known word, or none for "".
func DidYouMean(word string) string {
	if word == "" {
		return ""
	}
	return `did you mean "` + word + `"?`
}
