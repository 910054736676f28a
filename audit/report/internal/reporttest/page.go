package reporttest

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"testing"

	"golang.org/x/net/html"
)

// WellFormed fails where an element is not closed by its own end.
func WellFormed(t *testing.T, page []byte) {
	t.Helper()
	void := []string{"meta", "br", "hr", "img", "link", "input"}
	var open []string
	z := html.NewTokenizer(bytes.NewReader(page))
	for {
		switch z.Next() {
		case html.ErrorToken:
			if !errors.Is(z.Err(), io.EOF) || len(open) > 0 {
				t.Errorf("ends with %v open: %v", open, z.Err())
			}
			return
		case html.StartTagToken:
			if name, _ := z.TagName(); !slices.Contains(void, string(name)) {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			name, _ := z.TagName()
			if len(open) == 0 || open[len(open)-1] != string(name) {
				t.Fatalf("</%s> ends %v", name, open)
			}
			open = open[:len(open)-1]
		}
	}
}
