package sheet

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
)

// Tool is one of the two stops that are compared. The zero value is invalid.
type Tool uint8

// The trusted stop, and the one that is to be qualified against it.
const (
	ReferenceTool Tool = iota + 1
	NewTool
)

func (t Tool) String() string {
	switch t {
	case ReferenceTool:
		return "reference"
	case NewTool:
		return "new"
	}
	return "no tool"
}

// ToolTrial is one pair of contacts of one stop.
type ToolTrial struct {
	Tool        Tool
	Setup, Name string // Name is that of the trial
	By          string
	Trial
	Path Path // of the row in which the trial begins
}

// ToolStudy is what was read with two stops, trial by trial in the order of
// the file, which is that of the work.
type ToolStudy struct {
	Trials []ToolTrial
	Digest string // SHA-256 of the file, hexadecimal
}

var (
	toolsTable = columnar{
		"readings", MostReadingsBytes,
		[]string{"tool", "setup", "trial", "approach", "reading", "by", "note", "struck"},
		[]string{"tool", "setup", "trial", "approach", "reading"},
	}
	toolWords = []string{ReferenceTool.String(), NewTool.String()}
)

// ReadTools reads a study of two stops. Its form is that of a readings file,
// with the columns tool (reference or new), setup, trial, approach, reading,
// and where wanted by, note and struck. name is how errors print the file. The
// error, if any, names every fault with line, column and key; then the study
// is not to be used. Readings are degrees without letters.
func ReadTools(name string, data []byte) (ToolStudy, Positions, error) {
	r := &reader{Positions: Positions{name: name, at: map[Path]place{"": {file: name}}}, faulted: map[Path]bool{}}
	t := &toolBook{
		book:   &book{reader: r, columnar: toolsTable, name: name},
		trials: map[toolKey]int{},
	}
	t.read(data, t.take)
	sum := sha256.Sum256(data)
	t.study.Digest = hex.EncodeToString(sum[:])
	return t.study, r.Positions, r.Explain(r.faults)
}

type toolKey struct {
	tool        Tool
	setup, name string
}

// toolBook is a study of two stops while it is read.
type toolBook struct {
	*book
	study  ToolStudy
	trials map[toolKey]int // into study.Trials
}

func (t *toolBook) take() {
	f := &Reading{Note: t.field("note"), Reason: t.field("struck"), Path: t.mark("reading"), Approach: t.approach()}
	f.Struck = f.Reason != ""
	if t.reading(f); f.Lettered {
		t.fault(f.Path, "found "+shown(t.field("reading"))+", expected degrees without letters", "write what the readout shows, such as 347.5 for 12.5 BTDC")
	}
	key := toolKey{t.tool(), t.field("setup"), t.field("trial")}
	if key.setup == "" {
		t.fault(t.mark("setup"), "found nothing, expected the name or number of the setup", "")
	}
	if key.name == "" {
		t.fault(t.mark("trial"), "found nothing, expected the number of the pair that the contact belongs to", "")
	}
	if key.tool == 0 || key.setup == "" || key.name == "" {
		return
	}
	i, ok := t.trials[key]
	if !ok {
		i = len(t.study.Trials)
		t.trials[key] = i
		t.study.Trials = append(t.study.Trials, ToolTrial{Tool: key.tool, Setup: key.setup, Name: key.name, By: t.field("by"), Path: f.Path})
	}
	trial := &t.study.Trials[i]
	contact := &trial.Forward
	switch f.Approach {
	case Forward:
	case Backward:
		contact = &trial.Backward
	default:
		return // already a fault
	}
	if *contact != nil {
		t.fault(f.Path, "found a second "+f.Approach.String()+" contact of trial "+shown(key.name)+" of the "+key.tool.String()+" tool in setup "+shown(key.setup)+", expected one",
			"give a pair that was taken again a number of its own")
		return
	}
	*contact = f
}

func (t *toolBook) tool() Tool {
	word := t.field("tool")
	if i := slices.Index(toolWords, word); i >= 0 {
		return Tool(i + 1)
	}
	hint := didYouMean(t.near(word, toolWords))
	if hint == "" {
		hint = "the names of the tools go on the tag, with --name and --against"
	}
	t.fault(t.mark("tool"), "found "+shown(word)+", expected reference or new", hint)
	return 0
}
