package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
)

// The golden files were read by eye: each must tell the person at the bench
// where, what and what instead.
func TestBadSheets(t *testing.T) {
	for _, path := range testkit.Files(t, "sheets/bad/*.yaml") {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			_, _, err := Read(name, testkit.Read(t, path), testkit.Beside(t, "sheets/bad"))
			if err == nil {
				t.Fatal("got no error, want one")
			}
			testkit.Golden(t, strings.TrimSuffix(path, ".yaml")+".golden", err.Error()+"\n")
		})
	}
}

// What can't stand in the repository as a file is made here.
func TestBadSheetsMade(t *testing.T) {
	demo := Demo()
	units := utf16.Encode([]rune(demo))
	little := make([]byte, 0, 2*len(units))
	for _, u := range units {
		little = append(little, byte(u), byte(u>>8))
	}
	latin := bytes.ReplaceAll([]byte("engine:\n  pin_offset: ± 1 mm\n"), []byte("±"), []byte{0xb1})
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"100 MB", bytes.Repeat([]byte("title: x\n"), 100<<20/9), "x.yaml: the sheet is larger than 1 MB\n  hint: is this the right file?"},
		{"100,000 brackets", bytes.Repeat([]byte("["), 100_000), "x.yaml:1:8: nested too deeply, expected at most 8 lists and tables within each other"},
		{"100,000 brackets behind a key", append([]byte("title: "), bytes.Repeat([]byte("[{"), 50_000)...), "x.yaml:1:15: nested too deeply, expected at most 8 lists and tables within each other"},
		{"100,000 dashes", bytes.Repeat([]byte("- "), 100_000), "x.yaml:1:17: nested too deeply, expected at most 8 lists and tables within each other"},
		{"UTF-16 with mark", append([]byte{0xff, 0xfe}, little...), "x.yaml: the sheet is UTF-16 text, expected UTF-8\n  hint: save it again with the encoding UTF-8"},
		{"UTF-16 without mark", little, "x.yaml: the sheet is UTF-16 text, expected UTF-8\n  hint: save it again with the encoding UTF-8"},
		{"binary", []byte("\x7fELF\x02\x01\x01\x00\x00\x00"), "x.yaml:1:8: found a zero byte: this is no text file\n  hint: is this the right file?"},
		{"Latin-1", latin, "x.yaml:2:15: found the byte 0xB1, which is not UTF-8\n  hint: save the file again with the encoding UTF-8"},
		{"control character", []byte("title: a\x1bb\n"), "x.yaml:1:9: found the control character U+001B\n  hint: delete it; the file may be damaged"},
		{"a replacement character", []byte("title: \ufffd \xff\n"), "x.yaml:1:10: found the byte 0xFF, which is not UTF-8\n  hint: save the file again with the encoding UTF-8"},
		{"201 lines", []byte(strings.Replace(demo, "marks:\n", "marks:\n"+strings.Repeat("  - {name: x, at: 0}\n", 196), 1)), "found 201 lines, expected at most 200"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("x.yaml", c.data, nil)
			if err == nil {
				t.Fatal("got no error, want one")
			}
			if got := err.Error(); !strings.Contains(got, c.want) || strings.HasPrefix(c.want, "x.yaml") && got != c.want {
				t.Errorf("got:\n%s\nwant:\n%s", got, c.want)
			}
		})
	}
}

func TestFaultsComeBackFromTheError(t *testing.T) {
	_, _, err := Read("x.yaml", testkit.Read(t, "sheets/bad/near-words.yaml"), nil)
	var faults inputerror.List
	if !errors.As(err, &faults) || len(faults) != 3 {
		t.Fatalf("got %v, want 3 faults", faults)
	}
	if faults[0].Path != "engine.turns" || faults[2].Path != "readout.counts" {
		t.Errorf("got %v, want them in the order of the file", faults)
	}
}

// hostile are texts of one kind, about so many bytes each. Reading them takes
// work in proportion: no list of what was seen so far is searched for each item.
func hostile(size int) map[string]string {
	fill := func(s string) string { return strings.Repeat(s, size/len(s)) }
	upTo := func(before, s, after string) string {
		return before + strings.Repeat(s, max(0, size-len(before)-len(after))/len(s)) + after
	}
	var keys strings.Builder
	for i := 0; keys.Len() < size-100; i++ {
		keys.WriteString(strings.Repeat("x", i%7) + string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676%26)) + ": 1\n")
	}
	return map[string]string{
		"comments": fill("# c\n"), "spaces": fill(" "), "newlines": fill("\n"), "keys": keys.String(),
		"same key": fill("a: 1\n"), "question marks": fill("?\n"), "dashes": fill("-\n"), "colons": fill("a:"),
		"list": upTo("title: [", "1,", "]"), "table": upTo("title: {", "a,", "}"), "anchors": fill("- &a b\n"),
		"quoted": upTo(`title: "`, "x\n\n", `"`), "plain": upTo("title: ", "x\n ", ""), "long key": upTo("", "a", ": 1"),
		"comments in a list": upTo("title: [1,", "#\n", "]"), "carriage returns": fill("\r"), "invalid": fill("\ufffd"),
		"readings":      upTo("setups:\n  - stop:\n      forward: [", "1, ", "1]\n"),
		"unknown marks": upTo("marks:\n"+strings.Repeat("  - {name: abcdefgh, at: 0}\n", 199)+"setups:\n  - marks:\n", "      abcdefgx: 1\n", ""),
		"block text":    upTo("title: |\n", "  [[[[[[[[[[[[[[\n", ""),
	}
}

// Work that grew with the square of a text, and allocated nothing, would not
// come to its end at the largest size within the time of a test run.
func TestWorkGrowsAsTheTextDoes(t *testing.T) {
	for name, text := range hostile(MostSheetBytes - 1000) {
		t.Run(name, func(t *testing.T) { _, _, _ = Read("x.yaml", []byte(text), nil) })
	}
	const once = MostSheetBytes / 16
	half, full := hostile(once), hostile(2*once)
	for name := range half {
		allocations := func(text string) float64 {
			return testing.AllocsPerRun(1, func() { _, _, _ = Read("x.yaml", []byte(text), nil) })
		}
		if a, b := allocations(half[name]), allocations(full[name]); b > 2.2*a {
			t.Errorf("%s: %.0f allocations for %d bytes, %.0f for twice as many, want at most 2.2 times as many", name, a, once, b)
		}
	}
}

// A sheet with twice as many pairs takes twice the work.
func TestWorkGrowsAsTheReadingsDo(t *testing.T) {
	head := strings.Split(Demo(), "setups:")[0] + "readings: r.csv\n"
	testkit.Doubles(t, "pairs", 250, func(n int) {
		var rows strings.Builder
		rows.WriteString("setup,trial,item,approach,reading\n")
		for i := range n {
			fmt.Fprintf(&rows, "1,%d,stop,forward,340\n1,%d,stop,backward,20\n", i, i)
		}
		if _, _, err := Read("x.yaml", []byte(head), func(string) ([]byte, error) { return []byte(rows.String()), nil }); err != nil {
			t.Fatal(err)
		}
	})
}

// Files of one kind of row, as large as they may be.
func TestHostileReadingsFiles(t *testing.T) {
	sheet := []byte(strings.Split(Demo(), "setups:")[0] + "readings: r.csv\n")
	const header = "setup,trial,item,approach,reading\n"
	upTo := func(before, row string) []byte {
		return []byte(before + strings.Repeat(row, (csvfile.MostBytes-len(before))/len(row)))
	}
	var pairs strings.Builder
	for pairs.WriteString(header); pairs.Len() < csvfile.MostBytes-100; {
		n := strconv.Itoa(pairs.Len())
		pairs.WriteString("1," + n + ",stop,forward,340\n1," + n + ",stop,backward,20\n")
	}
	for name, data := range map[string][]byte{
		"readings": upTo(header, "1,,1-6,forward,0.5\n"), "pairs": []byte(pairs.String()), "torn": upTo(header, "1\n"), "blank": upTo(header, ",,,,\n"),
		"columns": upTo("", "a,"), "known columns": upTo("setup", ",setup"), "quotes": upTo(header, "\"\n"), "one quote": upTo(header+"\"", "a\n"), "unknown": upTo(header, "1,,1-7,forward,x\n"),
		"one long field": upTo(header+"1,,1-6,forward,", "5"), "long before": append(upTo("item,setup,approach,reading\n1-6,", "a"), ",forward,1\n"...)[:csvfile.MostBytes],
		"too large": bytes.Repeat([]byte("1,,1-6,forward,0.5\n"), csvfile.MostBytes/18),
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := Read("x.yaml", sheet, func(string) ([]byte, error) { return data, nil })
			if err != nil && strings.Count(err.Error(), "\n") > 2*csvfile.MostFaults+10 {
				t.Error("lists more faults than anyone reads")
			}
		})
	}
}
