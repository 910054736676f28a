package wheel

import (
	"bytes"
	"encoding/csv"
	"errors"
	"flag"
	"io"
	"math/rand"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func readTable(text string) ([]Row, Table, error) {
	var rows []Row
	table, err := ReadTable("t.csv", strings.NewReader(text), func(r Row) { rows = append(rows, r) })
	return rows, table, err
}

func TestReadTable(t *testing.T) {
	tests := []struct {
		name, text string
		want       []Row
	}{
		{"pairs", "reference,reading\n0,0.5\n90.25,-90\n", []Row{{Reference: 0, Reading: 0.5}, {Reference: 90.25, Reading: -90}}},
		{"no last line end", "reference,reading\n1,2", []Row{{Reference: 1, Reading: 2}}},
		{"columns in any order", "mounting,reading,approach,reference\nA,1,forward,2\nB,3,backward,4\n", []Row{{Reference: 2, Reading: 1, Approach: sheet.Forward, Mounting: "A"}, {Reference: 4, Reading: 3, Approach: sheet.Backward, Mounting: "B"}}},
		{"opposite", "reading,opposite\n0,180.5\n", []Row{{Reading: 0, Opposite: 180.5, Pointers: true}}},
		{"decimal commas", "reference;reading\n1,5;2.5\n", []Row{{Reference: 1.5, Reading: 2.5}}},
		{"separator line", "sep=;\r\nreference;reading\r\n1,5;2\r\n", []Row{{Reference: 1.5, Reading: 2}}},
		{"byte order mark", "\ufeffreference,reading\n1,2\n", []Row{{Reference: 1, Reading: 2}}},
		{"quotes", "\"reference\",reading,mounting\n\"1\",2,\"A, again\"\n3,4,\"A, again\"\n", []Row{{Reference: 1, Reading: 2, Mounting: "A, again"}, {Reference: 3, Reading: 4, Mounting: "A, again"}}},
		{"what the exact parser reads", "reference,reading\n 12°30' ,−1\n+7,361\n", []Row{{Reference: 12.5, Reading: -1}, {Reference: 7, Reading: 361}}},
		{"blank rows", "reference,reading\n\n1,2\n,\n , \n", []Row{{Reference: 1, Reading: 2}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, table, err := readTable(tt.text)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
			if table.Rows != len(tt.want) || len(table.Digest) != 64 {
				t.Errorf("got %d rows, digest %q", table.Rows, table.Digest)
			}
		})
	}
}

func TestReadTableRefuses(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"empty", "", "t.csv: table: the table is empty, expected the header reference,reading\n  hint: " + tableColumnsText},
		{"no rows", "reference,reading\n\n", "t.csv: table: the table ends after its header, expected rows"},
		{"unknown column", "referense,reading\n", "t.csv:1:1: header: found referense, an unknown column\n  hint: did you mean \"reference\"?"},
		{"column twice", "reference,reading,reading\n", "t.csv:1:19: header: found the column reading a second time"},
		{"column missing", "reference,approach\n", "t.csv:1:1: header: found no column reading, expected one\n  hint: " + tableColumnsText},
		{"beside opposite", "reading,opposite,mounting\n", "t.csv:1:18: header: found mounting beside opposite, expected reading and opposite alone\n  hint: " + tableColumnsText},
		{"tabs", "reference\treading\n", "t.csv:1:1: header: found tabs between the columns, expected , or ;"},
		{"torn", "reference,reading\n1\n", "t.csv:2:1: row: found 1 field, expected 2 as in the header: the row is torn\n  hint: complete the row, or delete it if the reading was taken again"},
		{"too many", "reference,reading\n1,2,3\n", "t.csv:2:1: row: found 3 fields, expected 2 as in the header\n  hint: put quotes round a field with the separator in it, and write numbers with a point"},
		{
			"several", "reference,reading,approach\n1,x,forward\n010,2,forwards\n",
			"t.csv:2:3: reading: found x, expected a number\n" +
				"t.csv:3:1: reference: found 010, expected no zero in front of a number\n  hint: write 10\n" +
				"t.csv:3:7: approach: found forwards, expected forward or backward\n  hint: did you mean \"forward\"?",
		},
		{"letters", "reference,reading\n1,12.5 BTDC\n", "t.csv:2:3: reading: found 12.5 BTDC, expected degrees without letters\n  hint: write 347.5 for 12.5 BTDC"},
		{"too large", "reference,reading\n1,1000001\n", "t.csv:2:3: reading: "},
		{"exponent", "reference,reading\n1e1,1\n", "t.csv:2:1: reference: found 1e1, expected a number without an exponent"},
		{"both marks", "reference;reading\n1.234,5;1\n", "t.csv:2:1: reference: "},
		{"no name", "reference,reading,mounting\n1,1,\n", "t.csv:2:5: mounting: found nothing, expected the name of the mounting"},
		{"UTF-16", "\xff\xfer\x00e\x00", "t.csv: table: the table is UTF-16 text, expected UTF-8"},
		{"zero byte", "reference,reading\n1,\x002\n", "t.csv:2:3: row: found a zero byte: this is no text file"},
		{"no UTF-8", "reference,reading\n1,\xe42\n", "t.csv:2:3: row: found the byte 0xE4, which is not UTF-8"},
		{"control character", "reference,reading\n1,2\x07\n", "t.csv:2:4: row: found the control character U+0007"},
		{"open quote", "reference,reading\n\"1,2\n3,4\n", "t.csv:2:1: row: found a quoted field that is not closed on its line"},
		{"long line", "reference,reading\n" + strings.Repeat("1", 1<<17), "t.csv:2:1: row: found a line of more than 64 kB"},
		{"many faults", "reference,reading\n" + strings.Repeat("x,1\n", 2000), "t.csv:2:1: reference: found x, expected a number\nt.csv:3:1: "},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, _, err := readTable(tt.text)
			if err == nil || !strings.HasPrefix(err.Error(), tt.want) {
				t.Fatalf("got %v\nwant %s", err, tt.want)
			}
			var faults inputerror.List
			if !errors.As(err, &faults) || len(faults) > csvfile.MostFaults+2 {
				t.Errorf("got %d faults", len(faults))
			}
		})
	}
	for _, broken := range []error{errors.New("disk gone")} {
		if _, err := ReadTable("t.csv", io.MultiReader(strings.NewReader("reference,reading\n1,2\n"), &failing{broken}), func(Row) {}); !errors.Is(err, broken) {
			t.Errorf("got %v, want the reader's trouble", err)
		}
	}
}

type failing struct{ err error }

func (f *failing) Read([]byte) (int, error) { return 0, f.err }

// The shortcut for plain numbers reads what the exact parser does, to the bit.
func TestPlainNumbersAreExact(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	texts := []string{"0", "-0", "0.0", "-0.10", "359.9999", "1000000", "1000000.1", "00", "01", ".5", "5.", "-", "", "1.2.3", "123456789012345", "1,5"}
	for range 100_000 {
		texts = append(texts, strconv.FormatFloat((random.Float64()-0.4)*400, 'f', random.Intn(13), 64))
	}
	short := 0
	for _, text := range texts {
		got, ok := plainNumber([]byte(text), false)
		if !ok {
			continue
		}
		short++
		want, _, err := geometry.ParseAngle(text)
		if err != nil || got != want || 1/float64(got) != 1/float64(want) {
			t.Errorf("%q: got %v, want %v, %v", text, got, want, err)
		}
	}
	if short < 90_000 {
		t.Errorf("only %d of %d numbers took the shortcut", short, len(texts))
	}
}

// FuzzTable reads any bytes as a table: no panic, nothing but finite numbers,
// and what is accepted survives being written and read again.
func FuzzTable(f *testing.F) {
	for _, path := range testkit.Files(f, "wheel/*.csv") {
		f.Add(testkit.Read(f, path))
	}
	f.Add([]byte("sep=;\nreference;reading;mounting\n1,5;\"2\";A\n;;\n"))
	f.Add([]byte("reading,opposite\n0,180°30'\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, table, err := readTable(string(data))
		if err != nil {
			if strings.ContainsAny(err.Error(), "\x00\x07\x1b") {
				t.Errorf("%q shows control characters", err)
			}
			return
		}
		var out bytes.Buffer
		w := csv.NewWriter(&out)
		number := func(a geometry.Angle) string { return strconv.FormatFloat(a.Degrees(), 'f', -1, 64) }
		for i, r := range rows {
			var header, record []string
			add := func(name, value string) { header, record = append(header, name), append(record, value) }
			add("reading", number(r.Reading))
			if table.Opposite {
				add("opposite", number(r.Opposite))
			} else {
				add("reference", number(r.Reference))
			}
			if table.Approach {
				add("approach", r.Approach.String())
			}
			if table.Mounting {
				add("mounting", r.Mounting)
			}
			if i == 0 {
				_ = w.Write(header)
			}
			_ = w.Write(record)
		}
		w.Flush()
		again, _, err := readTable(out.String())
		if err != nil {
			t.Fatalf("%v\n%s", err, out.String())
		}
		if diff := cmp.Diff(rows, again); diff != "" {
			t.Error(diff)
		}
	})
}

var tenMillion = flag.Bool("long", false, "use ten million rows in BenchmarkTable")

// logFile writes an encoder's log, once for all benchmarks.
func logFile(b *testing.B) (path string, rows int) {
	rows = 1_000_000
	if *tenMillion {
		rows *= 10
	}
	path = b.TempDir() + "/log.csv"
	var out bytes.Buffer
	out.WriteString("reference,reading\n")
	random := rand.New(rand.NewSource(2))
	for i := range rows {
		reference := float64(i%3600) / 10
		out.WriteString(strconv.FormatFloat(reference, 'f', 1, 64) + "," + strconv.FormatFloat(reference+1+0.02*random.NormFloat64(), 'f', 3, 64) + "\n")
	}
	if err := os.WriteFile(path, out.Bytes(), 0o666); err != nil {
		b.Fatal(err)
	}
	return path, rows
}

func BenchmarkTable(b *testing.B) {
	path, rows := logFile(b)
	read := map[string]func(io.Reader) int{
		"ReadTable": func(r io.Reader) (n int) {
			if _, err := ReadTable("log.csv", r, func(Row) { n++ }); err != nil {
				b.Fatal(err)
			}
			return n
		},
		"encoding-csv": func(r io.Reader) (n int) {
			c := csv.NewReader(r)
			c.ReuseRecord = true
			for ; ; n++ {
				if _, err := c.Read(); errors.Is(err, io.EOF) {
					return n - 1
				} else if err != nil {
					b.Fatal(err)
				}
			}
		},
	}
	info, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	size := info.Size()
	for _, name := range []string{"ReadTable", "encoding-csv"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(size)
			for b.Loop() {
				f, err := os.Open(path)
				if err != nil {
					b.Fatal(err)
				}
				if n := read[name](f); n != rows {
					b.Fatalf("read %d rows", n)
				}
				f.Close()
			}
		})
	}
}
