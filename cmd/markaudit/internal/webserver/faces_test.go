package webserver

import (
	"io"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/terminal"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// script is one job from the empty sheet to its end, as the dialogue types it,
// and beside it as the forms of the page send it.
var script = []struct{ line, form string }{
	{"by Ana <b>&\"", "do=by&text=Ana+<b>%26\""},
	{"out", "do=answer&text=out"},
	{"", "do=answer&text=yes"},
	{"yes", "do=answer&text=yes"},
	{"yes", "do=answer&text=yes"},
	{"down", "do=down"},
	{"in", "do=in"},
	{"338", "do=read&text=338"},
	{"22,0", "do=read&text=22,0"},
	{"338.5 note cold, =1+1", "do=read&text=338.5&note=cold,+%3D1%2B1"},
	{"22", "do=read&text=22"},
	{"345", "do=read&text=345"},
	{"undo", "do=undo"},
	{"with", "do=answer&text=with"},
	{"338", "do=read&text=338"},
	{"wheel", "do=read&text=wheel"}, // refused by both
	{"22.5", "do=read&text=22.5"},
	{"out", "do=out"},
	{"", "do=answer&text=yes"}, // a typed word is its own confirmation
	{"351", "do=read&text=351"},
	{"0", "do=read&text=0"},
	{"bumped", "do=bumped"},
	{"undo", "do=undo"},
	{"no", "do=answer&text=no"},
	{"355", "do=read&text=355"},
	{"strike 9 wrench, slipped", "do=strike&row=9&text=wrench,+slipped"},
	{"351.5", "do=read&text=351.5"},
	{"0.5", "do=read&text=0.5"},
	{"351", "do=read&text=351"},
	{"0", "do=read&text=0"},
	{"down", "do=down"},
	{"in", "do=in"},
	{"337.5", "do=read&text=337.5"},
	{"22.5", "do=read&text=22.5"},
	{"out", "do=out"},
	{"", "do=answer&text=yes"},
	{"next TDC backward", "do=next&item=TDC&approach=backward"},
	{"skip", "do=skip"},
	{"new", "do=new"},
	{"down", "do=down"},
	{"in", "do=in"},
	{"338", "do=read&text=338"},
	{"22", "do=read&text=22"},
}

// The same events through the terminal and through the page leave the same
// sheet and the same readings; so their audits are the same too.
func TestBothFacesKeepTheSame(t *testing.T) {
	typed, pressed := testsheet.New(t), testsheet.New(t)
	var lines strings.Builder
	for _, s := range script {
		lines.WriteString(s.line + "\n")
	}
	env := world.System()
	env.Clock = testsheet.Noon
	r, err := recorder.Open(env, typed)
	if err != nil {
		t.Fatal(err)
	}
	err = terminal.Run(r, strings.NewReader(lines.String()), io.Discard, terminal.Options{Software: "markaudit"})
	audited := r.State().View().Result != nil
	r.Close()
	if err != nil || !audited {
		t.Fatalf("got %v, and an audit: %v", err, audited)
	}
	page := openPage(t, pressed)
	for _, s := range script {
		form, err := url.ParseQuery(s.form)
		if err != nil {
			t.Fatal(err)
		}
		page.press(t, form)
	}
	page.end()
	if diff := cmp.Diff(testsheet.Contents(t, typed), testsheet.Contents(t, pressed)); diff != "" {
		t.Errorf("the sheets differ: - terminal, + page\n%s", diff)
	}
	// Each process has identities of its own.
	id := regexp.MustCompile(`(?m)[a-z0-9]+-[0-9]+$`)
	rows := func(path string) string {
		return id.ReplaceAllString(testsheet.Contents(t, testsheet.Readings(path)), "")
	}
	if diff := cmp.Diff(rows(typed), rows(pressed)); diff != "" {
		t.Errorf("the readings differ: - terminal, + page\n%s", diff)
	}
	if n := strings.Count(rows(typed), "\n"); n != 18 {
		t.Errorf("got %d lines, want the header and 17 readings:\n%s", n, rows(typed))
	}
	if got, want := rows(typed), `1,"Ana <b>&""",2,stop,forward,338.5,2026-03-14T12:00:00Z,"cold, =1+1",,`; !strings.Contains(got, "\n"+want) {
		t.Errorf("the readings lack %s:\n%s", want, got)
	}
}
