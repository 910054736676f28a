package webserver

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// spokenNode is what a browser tells a screen reader of one thing on a page.
type spokenNode struct {
	Ignored bool
	Role    struct{ Value string }
	Name    struct{ Value string }
	ID      string   `json:"nodeId"`
	Under   []string `json:"childIds"`
}

// tree is all that a screen reader is told of the page, in the order in which it says it.
func (b *browser) tree() []spokenNode {
	b.t.Helper()
	var answer struct{ Nodes []spokenNode }
	if err := json.Unmarshal(b.call("Accessibility.getFullAXTree", nil), &answer); err != nil {
		b.t.Fatal(err)
	}
	at := map[string]spokenNode{} // only looked up
	for _, n := range answer.Nodes {
		at[n.ID] = n
	}
	var out []spokenNode
	var walk func(id string)
	walk = func(id string) {
		n, ok := at[id]
		if !ok {
			return
		}
		if !n.Ignored {
			out = append(out, n)
		}
		for _, child := range n.Under {
			walk(child)
		}
	}
	walk(answer.Nodes[0].ID)
	return out
}

// controls are the roles of what can be pressed or filled in.
var controls = []string{"button", "link", "textbox", "radio", "checkbox", "combobox", "searchbox", "spinbutton"}

// reads checks the page as a screen reader tells it: everything that can be pressed or
// filled in, and every picture, has a name; one heading names the task, before the field;
// and what came of the last form is said in a live region.
func (b *browser) reads(t *testing.T, page, says string) {
	t.Helper()
	if says != "" {
		b.until(`(document.getElementById("spoken") || {}).textContent`)
	}
	first := map[string]int{} // of a role, where it comes first; only looked up
	heard := ""
	names := map[string]bool{}
	for n, node := range b.tree() {
		role := node.Role.Value
		if _, there := first[role]; !there {
			first[role] = n
		}
		if name := strings.TrimSpace(node.Name.Value); name == "" && (slices.Contains(controls, role) || role == "image" || role == "heading") {
			t.Errorf("%s: a %s without a name", page, role)
		} else if role == "button" {
			names[name] = true
		}
		if role == "status" || role == "alert" {
			heard += b.under(node)
		}
	}
	if _, there := first["heading"]; !there {
		t.Errorf("%s: no heading", page)
	}
	if field, there := first["textbox"]; there && says != "" && field < first["heading"] {
		t.Errorf("%s: the field comes before the task", page)
	}
	if !strings.Contains(heard, says) {
		t.Errorf("%s: a screen reader hears %q, want %q", page, heard, says)
	}
	if says != "" && !names["Keep"] {
		t.Errorf("%s: no Keep among the buttons", page)
	}
}

// under is the text of a live region.
func (b *browser) under(region spokenNode) string {
	if region.Name.Value != "" {
		return region.Name.Value
	}
	inside, text := false, ""
	for _, n := range b.tree() {
		if n.ID == region.ID {
			inside = true
		} else if inside && n.Role.Value == "StaticText" {
			text += n.Name.Value
			inside = false
		}
	}
	return text
}
