package qualify

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Tool is one of the two stops that are compared.
type Tool int

// The trusted stop, and the one that is to be qualified against it.
const (
	ReferenceTool Tool = iota
	NewTool
)

func (t Tool) String() string { return [...]string{"reference", "new"}[t] }

// Trial is one pair of contacts of one stop.
type Trial struct {
	Tool        Tool
	Setup, Name string // Name is that of the trial
	By          string
	sheet.Trial
	Path  inputerror.Path           // of the row in which the trial begins
	Lines map[sheet.Approach]int    // of the file, from 1; only looked up
	Texts map[sheet.Approach]string // the readings as they are written there; only looked up
}

// Study is what was read with two stops, trial by trial in the order of the
// file, which is that of the work.
type Study struct {
	Trials []Trial
	Digest string // SHA-256 of the file, hexadecimal
}

var (
	trialsFile = csvfile.Kind{
		Name: "readings", Most: csvfile.MostBytes,
		Columns:  []string{"tool", "setup", "trial", "approach", "reading", "by", "note", "struck"},
		Required: []string{"tool", "setup", "trial", "approach", "reading"},
	}
	toolWords = []string{ReferenceTool.String(), NewTool.String()}
)

// ReadTrials reads a study of two stops. Its form is that of a readings file,
// with the columns tool (reference or new), setup, trial, approach, reading,
// and where wanted by, note and struck. name is how errors print the file. The
// error, if any, names every fault with line, column and key; then the study
// is not to be used. Readings are degrees without letters.
func ReadTrials(name string, data []byte) (Study, inputerror.Positions, error) {
	r := &trialsReader{trials: map[trialKey]int{}}
	positions, err := csvfile.Read(trialsFile, name, data, r.take)
	sum := sha256.Sum256(data)
	r.study.Digest = hex.EncodeToString(sum[:])
	return r.study, positions, err
}

type trialKey struct {
	tool        Tool
	setup, name string
}

// trialsReader is a study of two stops while it is read.
type trialsReader struct {
	study  Study
	trials map[trialKey]int // into study.Trials
}

func (r *trialsReader) take(f *csvfile.File) {
	contact := readContact(f)
	tool, known := readTool(f)
	key := trialKey{tool, f.Field("setup"), f.Field("trial")}
	if key.setup == "" {
		f.Fault(f.At("setup"), "found nothing, expected the name or number of the setup", "")
	}
	if key.name == "" {
		f.Fault(f.At("trial"), "found nothing, expected the number of the pair that the contact belongs to", "")
	}
	if !known || key.setup == "" || key.name == "" {
		return
	}
	i, ok := r.trials[key]
	if !ok {
		i = len(r.study.Trials)
		r.trials[key] = i
		r.study.Trials = append(r.study.Trials, Trial{
			Tool: tool, Setup: key.setup, Name: key.name, By: f.Field("by"), Path: contact.Path,
			Lines: map[sheet.Approach]int{}, Texts: map[sheet.Approach]string{},
		})
	}
	place := &r.study.Trials[i].Forward
	switch contact.Approach {
	case sheet.Forward:
	case sheet.Backward:
		place = &r.study.Trials[i].Backward
	default:
		return // already a fault
	}
	if *place != nil {
		f.Fault(contact.Path, "found a second "+contact.Approach.String()+" contact of trial "+inputerror.Shown(key.name)+" of the "+tool.String()+" tool in setup "+inputerror.Shown(key.setup)+", expected one",
			"give a pair that was taken again a number of its own")
		return
	}
	*place = contact
	r.study.Trials[i].Lines[contact.Approach], r.study.Trials[i].Texts[contact.Approach] = f.Line(), f.Field("reading")
}

// readContact reads the contact of the row at hand.
func readContact(f *csvfile.File) *sheet.Reading {
	c := &sheet.Reading{Note: f.Field("note"), Reason: f.Field("struck"), Path: f.At("reading"), Approach: sheet.ReadApproach(f)}
	c.Struck = c.Reason != ""
	value, letters, err := geometry.ParseAngle(f.Number("reading"))
	switch {
	case err != nil:
		f.Refusal(c.Path, err)
	case letters != geometry.NoLetters:
		f.Fault(c.Path, "found "+inputerror.Shown(f.Field("reading"))+", expected degrees without letters", "write what the readout shows, such as 347.5 for 12.5 BTDC")
	}
	c.Value = value
	return c
}

func readTool(f *csvfile.File) (tool Tool, known bool) {
	word := f.Field("tool")
	if i := slices.Index(toolWords, word); i >= 0 {
		return Tool(i), true
	}
	hint := inputerror.DidYouMean(f.Near(word, toolWords))
	if hint == "" {
		hint = "the names of the tools go on the tag, with --name and --against"
	}
	f.Fault(f.At("tool"), "found "+inputerror.Shown(word)+", expected reference or new", hint)
	return 0, false
}
