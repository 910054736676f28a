package questions

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// entryKey is a key of the sheet that holds any number of entries: each is a question
// of its own, and one more adds another.
type entryKey struct {
	key, ask, again, help, example, picture string
	path                                    inputerror.Path
	read                                    func(i Interview, said string) ([][2]string, error)
	says                                    func(entry map[string]string) string
}

func entryKeys() []entryKey {
	return []entryKey{
		{
			"spacing", "How far apart are two lines, measured on the part?", "How far apart are the two lines of measurement %d?",
			"Straight across with dividers, or counted in teeth of the ring gear. It is held against the readings. It needs the rim's size, or the number of teeth.",
			"TDC to inject 23: 104.5 ± 0.2 mm", "across", "part.spacings", readSpacing, saySpacing,
		},
		{
			"instrument", "What did you measure with?", "What was instrument %d?",
			"What it is, then what stands on it: its name, number, certificate, and the day on which that ends. Printed on the record, never computed with.",
			"wheel, wheel 2, number W-4, certificate C-118, due 2027-01-31", "wheel", "instruments", readInstrument, sayInstrument,
		},
		{
			"photo", "Which photo belongs to this job?", "Which is photo %d?",
			"The name of its file in the folder of the job, then what it shows. Printed on the record, with a digest by which the file is known again.",
			"pulley-before.jpg, before scribing", "sheet", "photos", readPhoto, sayPhoto,
		},
	}
}

// entryItems are the questions of such a key: those that are there, and one more.
func entryItems(i Interview, k entryKey) (all []item) {
	entries := i.form.Entries(k.path)
	for n := 0; n <= len(entries); n++ {
		x := item{Question: Question{
			Key: k.key, Ask: k.ask, Help: k.help, Picture: k.picture, Kind: Type, Example: k.example, Rare: true,
			Without: "Without it nothing else stays shut.",
		}}
		if n < len(entries) {
			x.Key, x.Ask = fmt.Sprintf("%s-%d", k.key, n+1), fmt.Sprintf(k.again, n+1)
			x.path = inputerror.Path(fmt.Sprintf("%s[%d]", k.path, n))
		} else {
			x.added = func(i Interview) string { return k.sayLast(i) }
		}
		x.take = func(i Interview, said string) (sheet.Form, error) {
			now := i.form.Entries(k.path)
			there := n < len(now)
			switch {
			case (said == "" || said == removeLine) && there:
				return i.form.SetEntries(k.path, slices.Delete(now, n, n+1))
			case said == "" || said == removeLine:
				return i.form, nil
			}
			entry, err := k.read(i, said)
			if err != nil {
				return i.form, err
			}
			if slices.ContainsFunc(now, func(other [][2]string) bool { return slices.Equal(other, entry) }) {
				return i.form, refuse("that stands on the sheet already", "")
			}
			if there {
				now[n] = entry
			} else {
				now = append(now, entry)
			}
			return i.form.SetEntries(k.path, now)
		}
		x.says = func(i Interview, _ string) string {
			if now := i.form.Entries(k.path); n < len(now) {
				return k.says(entryOf(now[n]))
			}
			return ""
		}
		all = append(all, x)
	}
	return all
}

// sayLast is the entry that was added last, in a sentence.
func (k entryKey) sayLast(i Interview) string {
	now := i.form.Entries(k.path)
	if len(now) == 0 {
		return ""
	}
	return k.says(entryOf(now[len(now)-1]))
}

func entryOf(pairs [][2]string) map[string]string {
	m := map[string]string{} // only looked up
	for _, pair := range pairs {
		m[pair[0]] = pair[1]
	}
	return m
}

// readSpacing parts two lines and the distance between them.
func readSpacing(i Interview, said string) ([][2]string, error) {
	expected := refuse("found "+inputerror.Shown(said)+", expected two lines and the distance between them", "such as TDC to inject 23: 104.5 mm, or TDC to 3-4: 90 teeth; the lines are "+strings.Join(i.lineNames(), ", "))
	from, rest := lineFirst(i, said, "", "from ")
	to, rest := lineFirst(i, rest, "to ", ", ", "and ", "- ")
	if from == "" || to == "" {
		return nil, expected
	}
	rest = strings.TrimSpace(strings.TrimLeft(rest, ":,= "))
	if rest == "" {
		return nil, expected
	}
	entry := [][2]string{{"from", from}, {"to", to}}
	for _, word := range []string{"teeth", "tooth"} {
		if teeth, ok := strings.CutSuffix(rest, word); ok {
			return append(entry, [2]string{"teeth", decimal(strings.TrimSpace(teeth))}), nil
		}
	}
	return append(entry, [2]string{"chord", decimals(rest)}), nil
}

// lineFirst cuts the name of a line off the beginning of a text, the longest that fits,
// behind a word that may stand before it.
func lineFirst(i Interview, text string, before ...string) (name, rest string) {
	text = strings.TrimSpace(text)
	for _, word := range before {
		if len(word) > 0 && len(text) > len(word) && strings.EqualFold(text[:len(word)], word) {
			text = text[len(word):]
			break
		}
	}
	for _, n := range i.lineNames() {
		if len(n) <= len(text) && len(n) > len(name) && strings.EqualFold(text[:len(n)], n) && (len(n) == len(text) || strings.ContainsRune(" :,=", rune(text[len(n)]))) {
			name = n
		}
	}
	return name, strings.TrimSpace(text[len(name):])
}

func saySpacing(e map[string]string) string {
	if teeth := e["teeth"]; teeth != "" {
		return fmt.Sprintf("From %s to %s there are %s teeth of the ring gear.", e["from"], e["to"], teeth)
	}
	return fmt.Sprintf("From %s to %s it is %s straight across.", e["from"], e["to"], e["chord"])
}

// readInstrument takes the parts of an instrument as they were typed, with a comma
// between them.
func readInstrument(_ Interview, said string) ([][2]string, error) {
	var entry [][2]string
	for n, part := range strings.Split(said, ",") {
		part = strings.TrimSpace(part)
		key, value, known := strings.Cut(part, " ")
		switch {
		case part == "":
			continue
		case n == 0:
			key, value = "what", part
		case known && slices.Contains([]string{"number", "certificate", "due"}, strings.ToLower(key)):
			key = strings.ToLower(key)
		default:
			key, value = "name", part
		}
		if slices.ContainsFunc(entry, func(pair [2]string) bool { return pair[0] == key }) {
			return nil, refuse("found "+inputerror.Shown(part)+", a second "+key, "put number, certificate or due before what belongs to it: wheel, wheel 2, number W-4, due 2027-01-31")
		}
		entry = append(entry, [2]string{key, strings.TrimSpace(value)})
	}
	return entry, nil
}

func sayInstrument(e map[string]string) string {
	text := "Measured with: " + e["what"]
	for _, key := range []string{"name", "number", "certificate", "due"} {
		switch value := e[key]; {
		case value == "":
		case key == "name":
			text += ", " + value
		default:
			text += ", " + key + " " + value
		}
	}
	return text + "."
}

// readPhoto takes the name of a file and what it shows.
func readPhoto(_ Interview, said string) ([][2]string, error) {
	file, of, _ := strings.Cut(said, ",")
	entry := [][2]string{{"file", strings.TrimSpace(file)}}
	if text, digest, ok := strings.Cut(of, ", sha256 "); ok {
		return append(entry, [2]string{"of", strings.TrimSpace(text)}, [2]string{"sha256", strings.TrimSpace(digest)}), nil
	}
	if of = strings.TrimSpace(of); of != "" {
		entry = append(entry, [2]string{"of", of})
	}
	return entry, nil
}

func sayPhoto(e map[string]string) string {
	text := "The photo " + e["file"]
	if of := e["of"]; of != "" {
		return text + " shows: " + of + "."
	}
	return text + " belongs to this job."
}

// checkedItem asks what was looked at again.
func checkedItem() item {
	x := item{Question: Question{
		Key: "checked", Ask: "What did you go back and look at again, and found as written?",
		Help:    "Say it after you have looked, not to silence a question. letters: BTDC and ATDC of every line, on the metal. names: which line is which. nominals: where each belongs, in the maker's data. cylinders, tolerances, rod. Or line and its name.",
		Picture: "sheet", Kind: Type, Example: "letters, line TDC", Rare: true, Without: "Without it nothing else stays shut.",
	}, path: "checked"}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		if said == "" || said == removeLine {
			return i.form.Remove(x.path)
		}
		var words []string
		for part := range strings.SplitSeq(said, ",") {
			if part = strings.TrimSpace(part); part != "" {
				words = append(words, part)
			}
		}
		return i.form.SetList(x.path, words...)
	}
	x.says = func(_ Interview, text string) string { return "Looked at again, and found as written: " + text + "." }
	return x
}
