package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"runtime/debug"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// standardInput is the name of a sheet that comes from there.
const standardInput = "-"

// job is an audit of some sheets into one output.
type job struct {
	env           Env
	read          func(name string, replaced fs.FileInfo) (sheet.Sheet, sheet.Positions, error)
	format        string
	budget        bool
	requireWithin bool
	output        string // a file, or empty for standard output
}

// outcome is what came of one sheet.
type outcome struct {
	text      []byte
	notWithin error // says which marks are not, where that is asked for
	err       error
}

// run audits sheets. Each is printed whole or not at all, in the order given;
// what is wrong with one is said, and the others go on.
func (j job) run(names []string) error {
	out := j.env.Stdout
	var file *wholeFile // none for standard output
	if j.output != "" {
		var err error
		if file, err = createWhole(j.output); err != nil {
			return err
		}
		defer file.abandon()
		out = file
	}
	if len(names) > 1 {
		// Each sheet leaves garbage of some hundred kB beside a live heap of a few
		// MB, so collecting at twice the live heap costs a quarter of the time.
		defer debug.SetGCPercent(debug.SetGCPercent(400))
	}
	form := newLayout(j.format, len(names))
	progress := newProgress(j.env, len(names))
	say := func(err error) {
		progress.clear()
		complain(j.env.Stderr, err)
	}
	var printed, failed, notWithin bool
	work := func(i int) outcome { return j.audit(names[i], form, file.replaced()) }
	err := inOrder(len(names), work, func(_ int, o outcome) error {
		progress.step()
		if o.err != nil {
			failed = true
			say(o.err)
			return nil
		}
		if o.notWithin != nil {
			notWithin = true
			say(o.notWithin)
		}
		front := form.between
		if !printed {
			printed, front = true, form.before
		}
		_, err := out.Write(append([]byte(front), o.text...)) // in one piece, so that a pipe passes whole sheets on
		return err
	})
	progress.clear()
	if err == nil && printed {
		if _, err = io.WriteString(out, form.after); err == nil {
			err = file.finish()
		}
	}
	switch {
	case err != nil:
		return err
	case failed:
		return errTold
	case notWithin:
		return errNotWithin
	}
	return nil
}

// audit audits one sheet. A fault of the program ends this sheet alone, and is
// said with all that is needed to mend it.
func (j job) audit(name string, form layout, replaced fs.FileInfo) (o outcome) {
	defer func() {
		if fault := recover(); fault != nil {
			o = outcome{err: fmt.Errorf("%s: a fault of markaudit and not of the sheet, please report it with the sheet: %v\n%s", shown(name), fault, debug.Stack())}
		}
	}()
	s, positions, err := j.read(name, replaced)
	if err != nil {
		return outcome{err: err}
	}
	result, err := audit.Run(s)
	var faults sheet.Faults
	if errors.As(err, &faults) {
		return outcome{err: positions.Explain(faults)}
	}
	o.text, o.err = form.render(result, document.Options{Path: name, Software: software, Budget: j.budget})
	if j.requireWithin {
		o.notWithin = notWithin(name, result)
	}
	return o
}

// sheetFile reads a sheet by its path, with the file beside it that it may
// name. Neither may be the file that the output replaces.
func (e Env) sheetFile(name string, replaced fs.FileInfo) (sheet.Sheet, sheet.Positions, error) {
	folder := filepath.Dir(name)
	if name == standardInput {
		folder = "."
	}
	data, called, err := e.whole(name, sheet.MostSheetBytes, replaced)
	if err != nil {
		return sheet.Sheet{}, sheet.Positions{}, err
	}
	return e.sheetOf(called, folder, data, replaced)
}

// sheetOf reads a sheet from its bytes, with the files in its folder that it may
// name.
func (e Env) sheetOf(called, folder string, data []byte, replaced fs.FileInfo) (sheet.Sheet, sheet.Positions, error) {
	return sheet.Read(called, data, func(path string) ([]byte, error) {
		return e.read(beside(folder, path), sheet.MostReadingsBytes, replaced)
	})
}

// beside is the place of a file that a sheet names. It is joined as it stands:
// what .. means behind a symbolic link is for the system to say.
func beside(folder, path string) string {
	return folder + string(filepath.Separator) + filepath.FromSlash(path)
}

// notWithin says which marks of a sheet are not within, or is nil.
func notWithin(name string, r audit.Result) error {
	var marks []string
	for _, m := range r.Marks {
		switch {
		case m.Verdict == uncertainty.Within:
		case m.Offset == nil:
			marks = append(marks, sheet.Visible(m.Name)+" not read")
		default:
			marks = append(marks, sheet.Visible(m.Name)+" "+m.Verdict.String())
		}
	}
	if len(marks) == 0 {
		return nil
	}
	return fmt.Errorf("%s: not all within: %s", shown(name), strings.Join(marks, ", "))
}
