package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"markaudit/audit/guide"
	"markaudit/audit/sheet/readings"

	"github.com/google/go-cmp/cmp"
)

const unfinished = `engine:
  turns: clockwise
part:
  marks_on: part
  btdc_lines: clockwise
  diameter: 158.0 ± 0.2 mm
readout:
  step: 0.5
  counts: up
  quarter_turn: [10, 100]
limits:
  tolerance: 1.5
marks:
  - name: TDC
    at: 0
  - name: fire 10
    at: 10 BTDC
`

// unfinishedSheet returns the path of a sheet without readings.
func unfinishedSheet(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "mill.yaml")
	if err := os.WriteFile(path, []byte(unfinished), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// noon is when every reading of a test is taken.
func noon() time.Time { return time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC) }

func contents(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// script is one job from the empty sheet to its end, as the dialogue types it,
// and beside it as the forms of the page send it.
var script = []struct{ line, form string }{
	{"by Ana <b>&\"", "do=by&text=Ana+<b>%26\""},
	{"in", "do=in"},
	{"338", "do=read&text=338"},
	{"22,0", "do=read&text=22,0"},
	{"338.5 note cold, =1+1", "do=read&text=338.5&note=cold,+%3D1%2B1"},
	{"22", "do=read&text=22"},
	{"345", "do=read&text=345"},
	{"undo", "do=undo"},
	{"338", "do=read&text=338"},
	{"wheel", "do=read&text=wheel"}, // refused by both
	{"22.5", "do=read&text=22.5"},
	{"out", "do=out"},
	{"351", "do=read&text=351"},
	{"0", "do=read&text=0"},
	{"bumped", "do=bumped"},
	{"undo", "do=undo"},
	{"355", "do=read&text=355"},
	{"strike 9 wrench, slipped", "do=strike&row=9&text=wrench,+slipped"},
	{"351.5", "do=read&text=351.5"},
	{"0.5", "do=read&text=0.5"},
	{"351", "do=read&text=351"},
	{"0", "do=read&text=0"},
	{"in", "do=in"},
	{"337.5", "do=read&text=337.5"},
	{"22.5", "do=read&text=22.5"},
	{"next TDC backward", "do=next&item=TDC&approach=backward"},
	{"skip", "do=skip"},
	{"new", "do=new"},
	{"338", "do=read&text=338"},
	{"22", "do=read&text=22"},
}

// The same events through the terminal and through the page leave the same
// readings and the same audit.
func TestBothFacesKeepTheSame(t *testing.T) {
	typed, pressed := unfinishedSheet(t), unfinishedSheet(t)
	var lines strings.Builder
	for _, s := range script {
		lines.WriteString(s.line + "\n")
	}
	var out, trouble bytes.Buffer
	env := system()
	env.Stdin, env.Stdout, env.Stderr, env.Now = strings.NewReader(lines.String()), &out, &trouble, noon
	if status := run(env, []string{"record", typed}); status != 0 {
		t.Fatalf("status %d: %s", status, trouble.String())
	}
	shop := openShop(t, pressed, noon)
	for _, s := range script {
		form, err := url.ParseQuery(s.form)
		if err != nil {
			t.Fatal(err)
		}
		shop.press(t, form)
	}
	shop.end()
	if diff := cmp.Diff(contents(t, typed), contents(t, pressed)); diff != "" {
		t.Errorf("the sheets differ: - terminal, + page\n%s", diff)
	}
	rows := func(path string) string { return contents(t, strings.TrimSuffix(path, ".yaml")+".csv") }
	if diff := cmp.Diff(rows(typed), rows(pressed)); diff != "" {
		t.Errorf("the readings differ: - terminal, + page\n%s", diff)
	}
	if n := strings.Count(rows(typed), "\n"); n != 18 {
		t.Errorf("got %d lines, want the header and 17 readings:\n%s", n, rows(typed))
	}
	audited := func(path string) string {
		stdout, stderr, status := call(t, "", "audit", "--format", "csv", path)
		if status != 0 {
			t.Fatal(stderr)
		}
		return strings.ReplaceAll(stdout, path, "SHEET")
	}
	if diff := cmp.Diff(audited(typed), audited(pressed)); diff != "" {
		t.Errorf("the audits differ: - terminal, + page\n%s", diff)
	}
	if got, want := rows(typed), `1,"Ana <b>&""",2,stop,forward,338.5,2026-03-14T12:00:00Z,"cold, =1+1",`; !strings.Contains(got, want+"\n") {
		t.Errorf("the readings lack %s:\n%s", want, got)
	}
}

// recording starts the program itself, as a process of its own.
func recording(t *testing.T, sheet string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self, "record", sheet)
	c.Args[0] = "markaudit" // what TestMain looks at
	return c
}

// The program is killed at hundreds of points while readings pour in. Whatever
// it had acknowledged is in the file, in order, and no half row is.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 20
	}
	path := unfinishedSheet(t)
	file := strings.TrimSuffix(path, ".yaml") + ".csv"
	var acknowledged []string
	number := 0
	for k := range kills {
		c := recording(t, path)
		in, err := c.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		c.Stderr = os.Stderr
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		var lines strings.Builder
		if k > 0 {
			lines.WriteString("no\nout\n")
		} else {
			lines.WriteString("out\n")
		}
		for range 40 { // each reading tells its own number
			number++
			fmt.Fprintf(&lines, "next TDC\n%d.5 note %d\n", number%7, number)
		}
		go func() {
			_, _ = io.WriteString(in, lines.String()) // ends with the process
		}()
		die := time.Duration(k%40) * 500 * time.Microsecond
		reader := bufio.NewReader(out)
		first := true
		for {
			line, err := reader.ReadString('\n')
			if _, kept, ok := strings.Cut(line, "kept: setup 1, TDC, forward: "); ok && err == nil {
				acknowledged = append(acknowledged, strings.TrimSpace(kept))
				if first {
					first = false
					time.AfterFunc(die, func() { _ = c.Process.Kill() })
				}
			}
			if err != nil {
				break
			}
			if len(acknowledged) == 0 && k == 0 && strings.Contains(line, "not taken") {
				t.Fatal(line)
			}
		}
		_ = c.Wait() // killed, or at the end of its input
	}
	var got []string
	for i, l := range strings.Split(strings.TrimSuffix(contents(t, file), "\n"), "\n") {
		f := strings.Split(l, ",")
		if len(f) != 9 {
			t.Fatalf("line %d is no row: %s", i+1, l)
		}
		if i > 0 {
			got = append(got, fmt.Sprintf("%s (%s)", f[5], f[7]))
		}
	}
	at := 0
	for _, want := range acknowledged {
		for at < len(got) && got[at] != want {
			at++ // kept, and killed before it could say so
		}
		if at == len(got) {
			t.Fatalf("%s was acknowledged and is not in the file", want)
		}
		at++
	}
	if len(acknowledged) < kills {
		t.Errorf("only %d readings were acknowledged in %d runs: the test kills too early", len(acknowledged), kills)
	}
	t.Logf("%d kills, %d readings acknowledged, %d kept", kills, len(acknowledged), len(got))
	if _, stderr, status := call(t, "", "audit", path); status != 0 {
		t.Errorf("the readings cannot be audited: %s", stderr)
	}
}

// The file cut off at every single byte of its last row, as a power cut may leave
// it: the rows before are there, and the last one is whole or set aside.
func TestTornAnywhere(t *testing.T) {
	rows := []readings.Row{
		{Setup: "1", By: "Ana", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5", Time: "2026-03-14T12:00:00Z"},
		{Setup: "1", By: "Ana, the \"hand\"", Trial: "1", Item: "stop", Approach: "backward", Reading: "22.5", Time: "2026-03-14T12:00:00Z", Note: "a, b"},
	}
	whole := string(readings.Write(rows))
	start := len(whole) - len(rows[1].Line())
	for cut := range len(whole) + 1 {
		for _, tail := range []string{"", "\x00\x00"} {
			path := unfinishedSheet(t)
			file := strings.TrimSuffix(path, ".yaml") + ".csv"
			if err := os.WriteFile(path, []byte(guide.Attach(unfinished, "mill.csv")), 0o666); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, []byte(whole[:cut]+tail), 0o666); err != nil {
				t.Fatal(err)
			}
			env := system()
			r, err := openRecorder(env, path)
			if err != nil {
				t.Fatalf("cut at %d of %d: %v", cut, len(whole), err)
			}
			want := 2
			switch {
			case cut < start-1, cut == start-1 && tail != "":
				want = 0
			case cut < len(whole)-1, cut == len(whole)-1 && tail != "":
				want = 1
			}
			if cut == len(whole)-len("\n") && tail == "" {
				want = 2 // whole but for its end
			}
			if got := len(r.state.Rows()); got != want {
				t.Errorf("cut at %d of %d, then %q: got %d rows, want %d", cut, len(whole), tail, got, want)
			}
			torn := strings.Contains(strings.Join(r.told, " "), "torn")
			_, err = os.Stat(file + ".torn")
			if torn != (err == nil) {
				t.Errorf("cut at %d: said %q, and the torn row set aside: %v", cut, r.told, err)
			}
			r.close()
			if got := contents(t, file); got != string(readings.Write(rows[:want])) {
				t.Errorf("cut at %d: the file is\n%s", cut, got)
			}
		}
	}
}

// fullDisk takes so many bytes and then no more, or does not sync.
type fullDisk struct {
	rowFile
	room int
	sync error
}

func (f *fullDisk) Write(p []byte) (int, error) {
	if len(p) > f.room {
		n, err := f.rowFile.Write(p[:f.room])
		f.room = 0
		if err == nil {
			err = &fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}
		}
		return n, err
	}
	f.room -= len(p)
	return f.rowFile.Write(p)
}

func (f *fullDisk) Sync() error {
	if f.sync != nil {
		return f.sync
	}
	return f.rowFile.Sync()
}

// A disk that is full, or that does not say that it has written: the reading is
// not acknowledged, what was kept stays, and with room again work goes on.
func TestFullDisk(t *testing.T) {
	for _, room := range []int{0, 1, 30} {
		for _, sync := range []error{nil, syscall.EIO} {
			path := unfinishedSheet(t)
			r, err := openRecorder(system(), path)
			if err != nil {
				t.Fatal(err)
			}
			disk := &fullDisk{room: 1 << 20}
			r.file.open = func(path string) (rowFile, error) {
				f, err := openToAppend(path)
				disk.rowFile = f
				return disk, err
			}
			if err := r.file.follow(nil); err != nil {
				t.Fatal(err)
			}
			var out bytes.Buffer
			say := func(lines string) error {
				d := &dialogue{r, bufio.NewReader(strings.NewReader(lines)), &out}
				return d.run()
			}
			if err := say("in\n338\n"); err != nil {
				t.Fatal(err)
			}
			before := contents(t, r.file.path)
			if sync == nil {
				disk.room = room
			}
			disk.sync = sync
			var lost *unwritten
			if err := say("22\n"); !errors.As(err, &lost) || status(err) != statusUnwritten {
				t.Errorf("got %v, want the reading not written, and its status", err)
			}
			if !strings.Contains(out.String(), "this was NOT kept") || strings.Contains(out.String(), "backward: 22") {
				t.Errorf("the full disk was not said, or the reading acknowledged:\n%s", out.String())
			}
			if got := contents(t, r.file.path); got != before {
				t.Errorf("room for %d bytes: the file became\n%s", room, got)
			}
			disk.room, disk.sync = 1<<20, nil
			if err := say("22.5\n"); err != nil {
				t.Error(err)
			}
			if got := contents(t, r.file.path); !strings.Contains(got, "backward,22.5,") || strings.Contains(got, "backward,22,") {
				t.Errorf("with room again the file is\n%s", got)
			}
			r.close()
		}
	}
}

func TestSecondRecorder(t *testing.T) {
	path := unfinishedSheet(t)
	first, err := openRecorder(system(), path)
	if err != nil {
		t.Fatal(err)
	}
	_, stderr, got := call(t, "", "record", path)
	if got != statusBad || !strings.Contains(stderr, "another recorder has it open") {
		t.Errorf("got status %d: %s", got, stderr)
	}
	first.close()
	if _, stderr, got := call(t, "", "record", path); got != 0 {
		t.Errorf("after the first ended: status %d: %s", got, stderr)
	}
}

// Another program's changes are not written over.
func TestChangedMeanwhile(t *testing.T) {
	path := unfinishedSheet(t)
	r, err := openRecorder(system(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.close()
	theirs := string(readings.Write([]readings.Row{{Setup: "1", Item: "TDC", Approach: "forward", Reading: "0"}}))
	if err := os.WriteFile(r.file.path, []byte(theirs), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}} {
		_, err = r.do(e)
	}
	if err == nil || !strings.Contains(err.Error(), "another program has changed it") {
		t.Errorf("got %v, want the change said", err)
	}
	if got := contents(t, r.file.path); got != theirs {
		t.Errorf("the file became\n%s", got)
	}
}

// What the sheet says meanwhile does not count half, and is not written over.
func TestSheetChangedMeanwhile(t *testing.T) {
	path := unfinishedSheet(t)
	r, err := openRecorder(system(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.close()
	theirs := contents(t, path) + "# another hand\n"
	if err := os.WriteFile(path, []byte(theirs), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}} {
		_, err = r.do(e)
	}
	if err == nil || !strings.Contains(err.Error(), "was changed or moved meanwhile") {
		t.Errorf("got %v, want the change said", err)
	}
	if got := contents(t, path); got != theirs {
		t.Errorf("the sheet became\n%s", got)
	}
	if got := contents(t, r.file.path); got != readings.Header() {
		t.Errorf("the readings became\n%s", got)
	}
}

// A readings file that somebody deletes comes back whole with the next reading,
// and one that is missing at the start is said to be.
func TestReadingsGone(t *testing.T) {
	path := unfinishedSheet(t)
	r, err := openRecorder(system(), path)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}, {Kind: guide.Read, Text: "22"}} {
		if i == 2 {
			if err := os.Remove(r.file.path); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := r.do(e); err != nil {
			t.Fatal(err)
		}
	}
	if got := contents(t, r.file.path); strings.Count(got, "\n") != 3 {
		t.Errorf("the file is\n%s", got)
	}
	r.close()
	if err := os.Remove(r.file.path); err != nil {
		t.Fatal(err)
	}
	stdout, _, _ := call(t, "", "record", path)
	if !strings.Contains(strings.Join(strings.Fields(stdout), " "), "which was not there, so it is begun empty") {
		t.Errorf("printed\n%s", stdout)
	}
}

// In a folder without the right to write, the program says so and leaves the
// sheet alone.
func TestReadOnlyFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("folders have other rights there")
	}
	path := unfinishedSheet(t)
	folder := filepath.Dir(path)
	c := recording(t, path)
	asNobody(t, c)
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(folder, 0o755) })
	out, err := c.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != statusUnwritten {
		t.Errorf("got %v, want status %d", err, statusUnwritten)
	}
	if !strings.Contains(string(out), "mill.csv.lock: not allowed") || !strings.Contains(string(out), "copy the sheet to a folder") {
		t.Errorf("got %s", out)
	}
	if got := contents(t, path); got != unfinished {
		t.Errorf("the sheet became\n%s", got)
	}
}

// Struck readings and a foreign layout: the file is written anew, whole, with
// every reading.
func TestForeignLayout(t *testing.T) {
	path := unfinishedSheet(t)
	file := strings.TrimSuffix(path, ".yaml") + ".csv"
	foreign := "\ufeffsep=;\r\nitem;setup;reading;approach;trial\r\nstop;A;338,5;forward;1\r\nstop;A;22,5;backward;1\r\n;;;;\r\n"
	if err := os.WriteFile(file, []byte(foreign), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(unfinished+"readings: mill.csv\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	stdout, stderr, got := call(t, "no\nin\n338\nby Ben\n338.0 struck let go\n", "record", path)
	if got != 0 {
		t.Fatalf("status %d: %s", got, stderr)
	}
	if !strings.Contains(stdout, "mill.csv holds 2 readings") {
		t.Errorf("got %s", stdout)
	}
	for _, want := range []string{"setup,by,trial,item,approach,reading,time,note,struck\n", "\nA,,1,stop,forward,338.5,,,\n", "\nA,,1,stop,backward,22.5,,,\n", "\nA,,2,stop,forward,338,2"} {
		if !strings.Contains(contents(t, file), want) {
			t.Errorf("the file lacks %q:\n%s", want, contents(t, file))
		}
	}
}

// The end of the input is no answer, and a line without its end is no reading.
func TestInputEnds(t *testing.T) {
	path := unfinishedSheet(t)
	stdout, _, got := call(t, "in\n338\n22", "record", path)
	if got != 0 || !strings.Contains(stdout, "The input ended within a line, which was not taken: 22") {
		t.Errorf("got status %d, printed\n%s", got, stdout)
	}
	if file := contents(t, strings.TrimSuffix(path, ".yaml")+".csv"); strings.Count(file, "\n") != 2 {
		t.Errorf("the file is\n%s", file)
	}
}

// Sheets with their readings in them can be turned to a file, and then say the
// same.
func TestExport(t *testing.T) {
	data := contents(t, top+"testdata/sheets/good/pump.yaml")
	path := filepath.Join(t.TempDir(), "pump.yaml")
	if err := os.WriteFile(path, []byte(data), 0o666); err != nil {
		t.Fatal(err)
	}
	before, _, _ := call(t, "", "audit", "--format", "csv", path)
	_, stderr, got := call(t, "", "record", path)
	if got != statusBad || !strings.Contains(stderr, "record --export") {
		t.Errorf("record: status %d, said %s", got, stderr)
	}
	if _, stderr, got = call(t, "", "record", "--export", path); got != 0 {
		t.Fatalf("export: status %d, said %s", got, stderr)
	}
	if after, _, _ := call(t, "", "audit", "--format", "csv", path); after != before || before == "" {
		t.Errorf("the audit was\n%sand became\n%s", before, after)
	}
	if _, stderr, got = call(t, "", "record", path); got != 0 {
		t.Errorf("record afterwards: status %d, said %s", got, stderr)
	}
}
