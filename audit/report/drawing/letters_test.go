package drawing

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"markaudit/geometry"
)

// The letters of these scripts are those of the types; the others are not (found by
// looking at what each type holds, which its makers list).
func TestHas(t *testing.T) {
	for text, want := range map[string]bool{
		"inject 14": true, "Дизель": true, "Ζεύς": true, "Żółć": true, "ירייה": true, "▲▼◄►°±": true,
		"点火十度": false, "スパーク": false, "점화": false, "إشعال": false, "จุดระเบิด": false, "प्रज्वलन": false, "🔧": false,
	} {
		if got := Has(text); got != want {
			t.Errorf("%s: got %v, want %v", text, got, want)
		}
	}
}

// Hebrew is seen from right to left, its digits and Latin letters from left to right
// (Unicode Standard Annex 9, rules X9 to L2, worked out by hand).
func TestSeen(t *testing.T) {
	for text, want := range map[string]string{
		"inject 14":    "inject 14",
		"אבג":          "גבא",
		"אבג!":         "גבא!",
		"line אבג 7":   "line 7 גבא",
		"line אבג, x":  "line גבא, x",
		"אבג 7 דה x 8": "הד 7 גבא x 8",
		"":             "",
	} {
		if got := seen(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

// Another program finds the letters in the PDF, whichever way they run, and no
// question mark that was not in the text. Needs pdftotext of poppler-utils.
func TestLettersAreFoundInThePDF(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("needs pdftotext")
	}
	s := Scene{Title: "x", Width: 100, Height: 60}
	all := []string{"Дизель", "Ζεύς", "Żółć", "ירייה", "点火"}
	for i, text := range all {
		s.Add(Text{At: Point{5, geometry.Length(10 + 10*i)}, Size: 4, Text: text, Bold: i%2 == 1})
	}
	name := filepath.Join(t.TempDir(), "a.pdf")
	var b bytes.Buffer
	if err := TrueSizePDF(&b, "点火 🔧", []Scene{s}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range all[:4] {
		if !strings.Contains(string(out), text) {
			t.Errorf("found no %s in %q", text, out)
		}
	}
	if strings.Contains(string(out), "?") || strings.Contains(string(out), "点") {
		t.Errorf("got %q", out)
	}
}

// A PDF that asks for true size has the wish in its last catalogue, the table that
// says where that stands, and the way back to the table before it (ISO 32000-1,
// 7.5.4 to 7.5.6, 12.2).
func TestTrueSizePDF(t *testing.T) {
	var plain, wish bytes.Buffer
	pages := []Scene{{Title: "x", Width: 100, Height: 60, Items: []Item{Text{At: Point{5, 10}, Size: 4, Text: "x"}}}}
	if err := PDF(&plain, "x", pages); err != nil {
		t.Fatal(err)
	}
	if err := TrueSizePDF(&wish, "x", pages); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(wish.Bytes(), plain.Bytes()) {
		t.Fatal("the file before the update has changed")
	}
	update := wish.Bytes()[plain.Len():]
	if bytes.Count(update, []byte("/ViewerPreferences <</PrintScaling /None>>")) != 1 || !bytes.Contains(update, []byte("/Version /1.6")) || !bytes.Contains(update, []byte("/Type /Catalog")) {
		t.Errorf("got %s", update)
	}
	place := func(file []byte) int {
		n, err := strconv.Atoi(string(pdfStart.FindSubmatch(file)[1]))
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	root := string(pdfRoot.FindSubmatch(update)[1])
	table := wish.Bytes()[place(wish.Bytes()):]
	lines := strings.Split(string(table), "\n")
	if lines[0] != "xref" || lines[1] != root+" 1" {
		t.Fatalf("the table begins %q", lines[:2])
	}
	at, err := strconv.Atoi(lines[2][:10])
	if err != nil || len(lines[2]) != 19 || !bytes.HasPrefix(wish.Bytes()[at:], []byte(root+" 0 obj\n")) {
		t.Errorf("the table says %q, there stands %.20q", lines[2], wish.Bytes()[at:])
	}
	if want := "/Prev " + strconv.Itoa(place(plain.Bytes())) + "\n"; !strings.Contains(string(table), want) {
		t.Errorf("found no %q in %s", want, table)
	}
	for _, broken := range []string{"", "%PDF-1.3", strings.Replace(plain.String(), "/Root", "/Rood", 1), strings.Replace(plain.String(), "startxref", "start", 1), strings.Replace(plain.String(), "\n"+root+" 0 obj", "\n0 0 obj", 1)} {
		if got, err := printScalingNone([]byte(broken)); err == nil {
			t.Errorf("got %q of a broken file, want an error", got)
		}
	}
}
