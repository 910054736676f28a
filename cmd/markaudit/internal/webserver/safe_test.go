package webserver

import (
	"html"
	"net/url"
	"strings"
	"testing"

	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// What keeps people safe is a screen of its own before the first turn, one tap long,
// and not after. A task stands above what is odd, and the plate says nothing that is
// being asked.
func TestBeforeTheFirstTurn(t *testing.T) {
	s := openPage(t, testsheet.New(t))
	page := html.UnescapeString(mustPage(t, s.client, s.base))
	for _, c := range words.Cautions() {
		if !strings.Contains(page, c) {
			t.Errorf("%q is missing", c)
		}
	}
	if strings.Contains(page, "in or out?") || strings.Count(page, "<button") != 1 {
		t.Errorf("more than one thing is asked:\n%s", page)
	}
	tap := func(form string) string {
		t.Helper()
		v, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		_, page := s.press(t, v)
		return page
	}
	if page = tap("do=begin"); strings.Contains(page, words.Cautions()[0]) || !strings.Contains(page, "The stop: in or out?") {
		t.Errorf("after the tap:\n%s", page)
	}
	tap("do=in")
	page = tap("do=read&text=400")
	if task, look := strings.Index(page, `id="task"`), strings.Index(page, "more than a turn"); task < 0 || look < task || !strings.Contains(page[look:], `/undo">Take it back`) {
		t.Errorf("task at %d, warning at %d, and undo behind it:\n%s", task, look, page)
	}
	if page = tap("do=out"); strings.Contains(page, "The stop is IN") {
		t.Errorf("the plate says IN while it is asked:\n%s", page)
	}
}
