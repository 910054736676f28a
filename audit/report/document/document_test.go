package document

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"markaudit/audit/report/drawing"
)

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	text := strings.Repeat("ß° drop half arc ", 30) + strings.Repeat("x", 100)
	out := wrap(text, "1  ", "   ")
	if got, want := strings.Join(strings.Fields(out), " "), "1 "+text; got != want {
		t.Errorf("words changed: got %q, want %q", got, want)
	}
	for _, line := range strings.Split(out, "\n") {
		if Columns(line) > Width && !strings.Contains(line, strings.Repeat("x", 100)) {
			t.Errorf("line of %d columns: %q", Columns(line), line)
		}
	}
}

func TestMarkdownIsNotMarkup(t *testing.T) {
	var b strings.Builder
	if err := Markdown(&b, Doc{Sentence{Text: "<script>*a*|b`c`[d](e)"}}); err != nil {
		t.Fatal(err)
	}
	if got, want := b.String(), "&lt;script&gt;\\*a\\*\\|b\\`c\\`\\[d\\](e)\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Text and Markdown pass over what only paper can hold.
func TestFiguresOnlyOnPages(t *testing.T) {
	d := Doc{Heading{"x"}, Figure{drawing.Scene{Title: "a drawing"}}, Signature{}}
	var text, markdown bytes.Buffer
	if err := errors.Join(Text(&text, d), Markdown(&markdown, d)); err != nil {
		t.Fatal(err)
	}
	if text.String() != "x\n=\n" || markdown.String() != "# x\n" {
		t.Errorf("got %q and %q", text.String(), markdown.String())
	}
}

// On paper a page has at its foot what it belongs to; no name ends the style, and
// facts without a text are left out.
func TestHTMLSaysOnPaperWhatItBelongsTo(t *testing.T) {
	var b bytes.Buffer
	if err := HTML(&b, Doc{Heading{"x"}, Head{[]string{`job "</style><script>`, "0123456789ab"}}, Facts{[][2]string{{"job", "<b>"}, {"part", ""}}}}); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{`content: "\6a \6f \62 `, `counter(page) " of " counter(pages)`, "<dt>job</dt><dd>&lt;b&gt;</dd>", `<div style="page: head`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in %s", want, page)
		}
	}
	for _, bad := range []string{"<script", "part", "<b>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page has %q: %s", bad, page)
		}
	}
}
