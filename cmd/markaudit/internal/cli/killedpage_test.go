package cli

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptrace"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/testsheet"
)

// killedPage is `markaudit bench` as a process of its own, and one tablet that was
// let in once and stays in.
type killedPage struct {
	t      *testing.T
	sheet  string
	env    []string
	c      *exec.Cmd
	base   string
	tablet *http.Client
}

var (
	pageAddress = regexp.MustCompile(`(http://127\.0\.0\.1:\d+)(/enter/[\w-]+)`)
	pageHidden  = regexp.MustCompile(`name="step" value="([^"]*)"[^>]*>\s*<input type="hidden" name="t" value="([^"]*)"`)
)

// start starts the program, and lets the tablet in the first time.
func (p *killedPage) start() {
	p.t.Helper()
	p.c = recording(p.t, p.sheet)
	p.c.Args[1] = "bench"
	p.c.Env, p.c.Stderr = p.env, os.Stderr
	out, err := p.c.StdoutPipe()
	if err != nil {
		p.t.Fatal(err)
	}
	if err := p.c.Start(); err != nil {
		p.t.Fatal(err)
	}
	said := bufio.NewReader(out)
	for {
		line, err := said.ReadString('\n')
		if m := pageAddress.FindStringSubmatch(line); m != nil {
			if p.base == "" {
				p.base = m[1]
				p.get(m[2])
			}
			if m[1] != p.base {
				p.t.Fatalf("after a restart at %s, want %s", m[1], p.base)
			}
			break
		}
		if err != nil {
			p.t.Fatalf("the page ended before it showed its address: %v", err)
		}
	}
	go func() { _, _ = io.Copy(io.Discard, said) }() // ends with the process
}

func (p *killedPage) kill() {
	_ = p.c.Process.Kill()
	_ = p.c.Wait()
	p.tablet.CloseIdleConnections()
}

// get opens a page as a browser does.
func (p *killedPage) get(path string) string {
	p.t.Helper()
	r, err := http.NewRequest(http.MethodGet, p.base+path, nil)
	if err != nil {
		p.t.Fatal(err)
	}
	r.Header.Set("Accept", "text/html")
	answer, err := p.tablet.Do(r)
	if err != nil {
		p.t.Fatal(err)
	}
	body, err := io.ReadAll(answer.Body)
	_ = answer.Body.Close()
	if err != nil || answer.StatusCode != http.StatusOK {
		p.t.Fatalf("%s: status %d, %v: %s", path, answer.StatusCode, err, body)
	}
	return string(body)
}

// form fills in a form of the step that the page shows now.
func (p *killedPage) form(pairs ...string) url.Values {
	p.t.Helper()
	body := p.get("/")
	m := pageHidden.FindStringSubmatch(body)
	if m == nil {
		p.t.Fatalf("no form on the page:\n%s", body)
	}
	form := url.Values{"step": {m[1]}, "t": {m[2]}}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return form
}

// send sends a form; sent, which may be nil, is told when the last byte has left. An
// error is a reply that never came.
func (p *killedPage) send(form url.Values, sent func()) (int, string, error) {
	r, err := http.NewRequest(http.MethodPost, p.base+"/do", strings.NewReader(form.Encode()))
	if err != nil {
		p.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if sent != nil {
		r = r.WithContext(httptrace.WithClientTrace(r.Context(), &httptrace.ClientTrace{WroteRequest: func(httptrace.WroteRequestInfo) { sent() }}))
	}
	answer, err := p.tablet.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer func() { _ = answer.Body.Close() }()
	body, err := io.ReadAll(answer.Body)
	return answer.StatusCode, string(body), err
}

// press sends a form of the present step and expects it to be taken.
func (p *killedPage) press(pairs ...string) {
	p.t.Helper()
	if status, body, err := p.send(p.form(pairs...), nil); err != nil || status != http.StatusOK {
		p.t.Fatalf("%v: status %d, %v:\n%s", pairs, status, err, body)
	}
}

// readTDC leads to the field of a reading of the line TDC.
func (p *killedPage) readTDC(rows int) {
	p.t.Helper()
	if rows > 0 {
		p.press("do", "answer", "text", "no") // nothing was moved since
	}
	p.press("do", "answer", "text", "out")
	p.press("do", "answer", "text", "yes") // the hole is empty
	p.press("do", "next", "item", "TDC")
}

// kept returns the numbers in the readings file.
func (p *killedPage) kept() (numbers []string) {
	p.t.Helper()
	data, err := os.ReadFile(testsheet.Readings(p.sheet))
	if err != nil {
		p.t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil {
		p.t.Fatalf("%v:\n%s", err, data)
	}
	for _, row := range rows[1:] {
		numbers = append(numbers, row[5])
	}
	return numbers
}

// size is that of the readings file, which may hold half a row at this moment.
func (p *killedPage) size() int64 {
	if info, err := os.Stat(testsheet.Readings(p.sheet)); err == nil {
		return info.Size()
	}
	return 0 // between two names, while it is exchanged
}

// The page is killed while a form is under way: as soon as the form has left the
// tablet, as soon as its row is in the file, or after the reply; at 120 moments with
// MARKAUDIT_LONG=1. The tablet, which stays let in, sends the same form again after the
// restart, twice. A number that was kept is told to be kept already; one that was not is
// told so, and is taken for the step that then stands there. None is lost, and none is
// in the file twice.
func TestPageKilledAtAnyMoment(t *testing.T) {
	kills := 6
	if os.Getenv("MARKAUDIT_LONG") != "" {
		kills = 120
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir() // where devices are remembered, whatever the system
	p := &killedPage{t: t, sheet: testsheet.New(t), tablet: &http.Client{Jar: jar}, env: append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "AppData="+home)}
	p.start()
	defer func() { p.kill() }()
	again, lost := 0, 0
	var want []string
	for k := range kills {
		p.readTDC(len(want))
		number := fmt.Sprintf("%.1f", float64(k+1)/2)
		form := p.form("do", "read", "text", number, "what", "line TDC")
		before, size := len(p.kept()), p.size()
		sent, answered := make(chan struct{}, 1), make(chan bool, 1)
		go func() {
			status, _, err := p.send(form, func() {
				select {
				case sent <- struct{}{}:
				default: // the page after the redirect
				}
			})
			answered <- err == nil && status == http.StatusOK
		}()
		<-sent
		told := false
		switch k % 3 {
		case 0: // the program has it, or has not even read it
			for range k / 3 {
				_, _ = os.Stat(p.sheet)
			}
		case 1:
			for p.size() == size && len(answered) == 0 {
			}
		case 2:
			told = <-answered
			answered <- told
		}
		p.kill()
		told = <-answered || told
		p.start()
		status, body, err := p.send(form, nil)
		switch kept := status == http.StatusOK && strings.Contains(body, "Already kept: ") && strings.Contains(body, number+" (reading "); {
		case err != nil:
			t.Fatal(err)
		case kept:
			again++
		case told || k%3 == 1 && len(p.kept()) > before:
			t.Fatalf("%s was kept, and sent again it is answered with status %d:\n%s", number, status, body)
		case status != http.StatusConflict || !strings.Contains(body, number+" was for line TDC and was NOT taken"):
			t.Fatalf("%s was not kept, and sent again it is answered with status %d:\n%s", number, status, body)
		default:
			lost++
			p.readTDC(before)
			p.press("do", "read", "text", number)
		}
		if _, _, err := p.send(form, nil); err != nil {
			t.Fatal(err)
		}
		want = append(want, number)
		if got := p.kept(); strings.Join(got, " ") != strings.Join(want, " ") {
			t.Fatalf("kept %v, want %v", got, want)
		}
		if lost > 0 && status == http.StatusConflict { // the next round finds it as after a restart
			p.kill()
			p.start()
		}
	}
	t.Logf("%d kills: %d forms were kept already, %d had not been taken", kills, again, lost)
	if again < kills/2 {
		t.Errorf("only %d of %d forms had been kept when the page was killed: it is killed too early", again, kills)
	}
}
