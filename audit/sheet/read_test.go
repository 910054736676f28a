package sheet

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
)

var update = flag.Bool("update", false, "rewrite the golden error texts")

const sheets = "../../testdata/sheets/"

// folder opens files beside the sheets of a test folder.
func folder(dir string) Open {
	return func(path string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, path)) }
}

func load(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func glob(t testing.TB, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files match %s: %v", pattern, err)
	}
	return paths
}

// work counts what one call allocates: how often, and how many bytes.
func work(call func()) (allocations, bytes float64) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	call()
	runtime.ReadMemStats(&after)
	return float64(after.Mallocs - before.Mallocs), float64(after.TotalAlloc - before.TotalAlloc)
}

// growsNoFaster fails when twice the text costs more than 2.2 times the work:
// something then walks through the text over and over.
func growsNoFaster(t *testing.T, text func(size int) []byte, size int, read func([]byte)) {
	t.Helper()
	once, twice := text(size/2), text(size)
	n, bytes := work(func() { read(once) })
	n2, bytes2 := work(func() { read(twice) })
	const few, page = 200, 1 << 20 // what a text refused at once may differ by
	if n2 > 2.2*n+few {
		t.Errorf("%.0f allocations for %d bytes of text, %.0f for %d", n, len(once), n2, len(twice))
	}
	if bytes2 > 2.2*bytes+page {
		t.Errorf("%.0f bytes allocated for %d bytes of text, %.0f for %d", bytes, len(once), bytes2, len(twice))
	}
}

// The golden files were read by eye: each must tell the person at the bench
// where, what and what instead.
func TestBadSheets(t *testing.T) {
	for _, path := range glob(t, sheets+"bad/*.yaml") {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			_, _, err := Read(name, load(t, path), folder(sheets+"bad"))
			if err == nil {
				t.Fatal("got no error, want one")
			}
			golden := strings.TrimSuffix(path, ".yaml") + ".golden"
			got := err.Error() + "\n"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if want := string(load(t, golden)); got != want {
				t.Errorf("got:\n%s\nwant:\n%s", got, want)
			}
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
	_, _, err := Read("x.yaml", load(t, sheets+"bad/near-words.yaml"), nil)
	var faults inputerror.List
	if !errors.As(err, &faults) || len(faults) != 3 {
		t.Fatalf("got %v, want 3 faults", faults)
	}
	if faults[0].Path != "engine.turns" || faults[2].Path != "readout.counts" {
		t.Errorf("got %v, want them in the order of the file", faults)
	}
}

// hostileSheets are sheets of one thing over and over, by size.
func hostileSheets() map[string]func(size int) []byte {
	fill := func(s string) func(int) []byte {
		return func(size int) []byte { return []byte(strings.Repeat(s, size/len(s))) }
	}
	upTo := func(before, s, after string) func(int) []byte {
		return func(size int) []byte {
			return []byte(before + strings.Repeat(s, (size-len(before)-len(after))/len(s)) + after)
		}
	}
	keys := func(size int) []byte {
		var keys bytes.Buffer
		for i := 0; keys.Len() < size-100; i++ {
			keys.WriteString(strings.Repeat("x", i%7) + string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676%26)) + ": 1\n")
		}
		return keys.Bytes()
	}
	marks := "marks:\n" + strings.Repeat("  - {name: abcdefgh, at: 0}\n", 199)
	return map[string]func(int) []byte{
		"comments": fill("# c\n"), "spaces": fill(" "), "newlines": fill("\n"), "keys": keys,
		"same key": fill("a: 1\n"), "question marks": fill("?\n"), "dashes": fill("-\n"), "colons": fill("a:"),
		"list": upTo("title: [", "1,", "]"), "table": upTo("title: {", "a,", "}"), "anchors": fill("- &a b\n"),
		"quoted": upTo(`title: "`, "x\n\n", `"`), "plain": upTo("title: ", "x\n ", ""), "long key": upTo("", "a", ": 1"),
		"comments in a list": upTo("title: [1,", "#\n", "]"), "carriage returns": fill("\r"), "invalid": fill("\ufffd"),
		"readings":      upTo("setups:\n  - stop:\n      forward: [", "1, ", "1]\n"),
		"unknown marks": upTo(marks+"setups:\n  - marks:\n", "      abcdefgx: 1\n", ""),
		"block text":    upTo("title: |\n", "  [[[[[[[[[[[[[[\n", ""),
	}
}

// No input may take over a second, whatever it repeats: BenchmarkHostileSheets
// has the times.
func TestNothingTakesLong(t *testing.T) {
	for name, text := range hostileSheets() {
		for _, size := range []int{64 << 10, MostSheetBytes} { // a small one still reaches the parser
			t.Run(fmt.Sprintf("%s, %d kB", name, size>>10), func(t *testing.T) {
				growsNoFaster(t, text, size, func(data []byte) { _, _, _ = Read("x.yaml", data, nil) })
			})
		}
	}
}

func BenchmarkHostileSheets(b *testing.B) {
	for name, text := range hostileSheets() {
		b.Run(name, func(b *testing.B) {
			for data := text(MostSheetBytes); b.Loop(); {
				_, _, _ = Read("x.yaml", data, nil)
			}
		})
	}
}

// hostileReadings are readings files of one thing over and over, by size.
func hostileReadings() map[string]func(size int) []byte {
	const header = "setup,trial,item,approach,reading\n"
	upTo := func(before, row string) func(int) []byte {
		return func(size int) []byte { return []byte(before + strings.Repeat(row, (size-len(before))/len(row))) }
	}
	pairs := func(size int) []byte {
		pairs := bytes.NewBufferString(header)
		for pairs.Len() < size-100 {
			n := strconv.Itoa(pairs.Len())
			pairs.WriteString("1," + n + ",stop,forward,340\n1," + n + ",stop,backward,20\n")
		}
		return pairs.Bytes()
	}
	long := func(size int) []byte {
		return append(upTo("item,setup,approach,reading\n1-6,", "a")(size), ",forward,1\n"...)[:size]
	}
	return map[string]func(int) []byte{
		"readings": upTo(header, "1,,1-6,forward,0.5\n"), "pairs": pairs, "torn": upTo(header, "1\n"), "blank": upTo(header, ",,,,\n"),
		"columns": upTo("", "a,"), "known columns": upTo("setup", ",setup"), "quotes": upTo(header, "\"\n"), "one quote": upTo(header+"\"", "a\n"), "unknown": upTo(header, "1,,1-7,forward,x\n"),
		"one long field": upTo(header+"1,,1-6,forward,", "5"), "long before": long,
		"too large": func(size int) []byte { return upTo(header, "1,,1-6,forward,0.5\n")(size + csvfile.MostBytes) },
	}
}

// withReadings reads a readings file through the sheet that names it.
func withReadings(data []byte) error {
	sheet := []byte(strings.Split(Demo(), "setups:")[0] + "readings: r.csv\n")
	_, _, err := Read("x.yaml", sheet, func(string) ([]byte, error) { return data, nil })
	return err
}

func TestNoReadingsFileTakesLong(t *testing.T) {
	for name, text := range hostileReadings() {
		t.Run(name, func(t *testing.T) {
			growsNoFaster(t, text, csvfile.MostBytes, func(data []byte) {
				if err := withReadings(data); err != nil && strings.Count(err.Error(), "\n") > 2*csvfile.MostFaults+10 {
					t.Error("lists more faults than anyone reads")
				}
			})
		})
	}
}

func BenchmarkHostileReadings(b *testing.B) {
	for name, text := range hostileReadings() {
		b.Run(name, func(b *testing.B) {
			for data := text(csvfile.MostBytes); b.Loop(); {
				_ = withReadings(data)
			}
		})
	}
}
