package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"runtime/debug"
	"strings"

	"markaudit/audit"
	"markaudit/audit/csvfile"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// reader reads a sheet by its name. What it reads may not be the file that the
// output replaces.
type reader func(name string, replaced fs.FileInfo) (sheet.Sheet, inputerror.Positions, error)

// fromFiles reads sheets by their paths, and looks at the photos that they name.
func fromFiles(env world.World) reader {
	return func(name string, replaced fs.FileInfo) (sheet.Sheet, inputerror.Positions, error) {
		s, positions, err := sheetFile(env, name, replaced)
		s.LookAtPhotos(func(path string) (string, error) { return env.Digest(world.Beside(folderOf(name), path)) })
		return s, positions, err
	}
}

// folderOf is the folder from which a sheet names other files.
func folderOf(name string) string {
	if name == world.StandardInput {
		return "."
	}
	return filepath.Dir(name)
}

// job is an audit of some sheets into one output.
type job struct {
	env           world.World
	read          reader
	format        string
	budget        bool
	requireWithin bool
	output        string // a file, or empty for standard output
	csv           export.CSV
	paper         document.Paper // of a record as PDF; zero: A4
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
	var file *atomicwrite.File // none for standard output
	if j.output != "" {
		var err error
		if file, err = atomicwrite.Create(j.output); err != nil {
			return err
		}
		defer file.Abandon()
		out = file
	}
	if len(names) > 1 {
		// Each sheet leaves garbage of some hundred kB beside a live heap of a few
		// MB, so collecting at twice the live heap costs a quarter of the time.
		defer debug.SetGCPercent(debug.SetGCPercent(400))
	}
	form := newLayout(j.format, len(names), j.csv)
	progress := newProgress(j.env, len(names))
	say := func(err error) {
		progress.clear()
		complain(j.env.Stderr, err)
	}
	var printed, failed, notWithin bool
	work := func(i int) outcome { return j.audit(names[i], form, file.Replaced()) }
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
			err = file.Finish()
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
			o = outcome{err: fmt.Errorf("%s: a fault of markaudit and not of the sheet, please report it with the sheet: %v\n%s", phrase.Shown(name), fault, debug.Stack())}
		}
	}()
	s, positions, err := j.read(name, replaced)
	if err != nil {
		return outcome{err: err}
	}
	result, err := audit.Run(s)
	var faults inputerror.List
	if errors.As(err, &faults) {
		return outcome{err: positions.Explain(faults)}
	}
	o.text, o.err = form.render(result, document.Options{Path: name, Software: software, Commit: commit(), Budget: j.budget, Paper: j.paper})
	if j.requireWithin {
		o.notWithin = notWithin(name, result)
	}
	return o
}

// sheetFile reads a sheet by its path, with the file beside it that it may
// name. Neither may be the file that the output replaces.
func sheetFile(env world.World, name string, replaced fs.FileInfo) (sheet.Sheet, inputerror.Positions, error) {
	data, called, err := env.Whole(name, sheet.MostSheetBytes, replaced)
	if err != nil {
		return sheet.Sheet{}, inputerror.Positions{}, err
	}
	return sheetOf(env, called, folderOf(name), data, replaced)
}

// sheetOf reads a sheet from its bytes, with the files in its folder that it may
// name.
func sheetOf(env world.World, called, folder string, data []byte, replaced fs.FileInfo) (sheet.Sheet, inputerror.Positions, error) {
	return sheet.Read(called, data, func(path string) ([]byte, error) {
		return env.Read(world.Beside(folder, path), csvfile.MostBytes, replaced)
	})
}

// notWithin says which marks of a sheet are not within, or is nil.
func notWithin(name string, r audit.Result) error {
	var marks []string
	for _, m := range r.ByLine() {
		switch {
		case m.Verdict == diagnosis.Within:
		case m.Offset == nil:
			marks = append(marks, inputerror.Visible(m.Name)+" not read")
		default:
			marks = append(marks, inputerror.Visible(m.Name)+" "+m.Verdict.String())
		}
	}
	if len(marks) == 0 {
		return nil
	}
	return fmt.Errorf("%s: not all within: %s", phrase.Shown(name), strings.Join(marks, ", "))
}
