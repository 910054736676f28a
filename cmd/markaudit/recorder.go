package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"markaudit/audit/guide"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// recorder joins a session to its files. Both faces, terminal and page, do
// everything through it.
type recorder struct {
	env   Env
	sheet string // its path
	text  []byte // what the sheet holds
	state guide.State
	file  *readingsFile
	told  []string // what was found on opening
}

// openRecorder opens a sheet for recording. Where it names no readings yet, a
// file is begun beside it and named on it.
func openRecorder(env Env, name string) (*recorder, error) {
	if name == standardInput {
		return nil, errors.New("found -, expected the name of a sheet: readings are kept in a file beside it")
	}
	r := &recorder{env: env, sheet: name}
	text, err := env.read(name, sheet.MostSheetBytes, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown(name), err)
	}
	u, _, err := sheet.ReadUnfinished(name, text, r.beside)
	switch {
	case u.Readings == "" && err != nil:
		return nil, err
	case u.Inline:
		return nil, fmt.Errorf("%s: its readings stand in the sheet, under setups; readings are recorded into a file of their own\n  hint: `markaudit record --export %s` writes them into one", shown(name), shown(name))
	case u.Readings == "":
		if text, err = r.attach(string(text)); err != nil {
			return nil, err
		}
	default: // what may be wrong with the file may be its torn end
		if r.file, err = holdReadings(beside(filepath.Dir(name), u.Readings)); err != nil {
			return nil, err
		}
		if _, err := os.Stat(r.file.path); errors.Is(err, fs.ErrNotExist) {
			r.told = append(r.told, fmt.Sprintf("LOOK: the sheet names %s, which was not there, so it is begun empty. If it held readings, stop here, delete the empty one and bring the old one back.", r.file.name()))
		}
	}
	if err := r.begin(text); err != nil {
		r.close()
		return nil, err
	}
	return r, nil
}

// beside opens what the sheet names.
func (r *recorder) beside(path string) ([]byte, error) {
	return r.env.read(beside(filepath.Dir(r.sheet), path), sheet.MostReadingsBytes, nil)
}

// attach begins a readings file and names it on the sheet.
func (r *recorder) attach(text string) ([]byte, error) {
	base := filepath.Base(r.sheet)
	file := strings.TrimSuffix(base, filepath.Ext(base)) + ".csv"
	if file == base {
		file = base + ".csv"
	}
	with := guide.Attach(text, file)
	u, _, err := sheet.ReadUnfinished(r.sheet, []byte(with), func(path string) ([]byte, error) {
		if path == file {
			return nil, fs.ErrNotExist
		}
		return r.beside(path)
	})
	if err != nil || u.Readings != file {
		return nil, fmt.Errorf("%s: cannot name the readings file on a sheet that is laid out like this\n  hint: delete setups if it is there, and add the line `readings: %s`", shown(r.sheet), shown(file))
	}
	path := beside(filepath.Dir(r.sheet), file)
	if r.file, err = holdReadings(path); err != nil {
		return nil, err
	}
	switch data, err := os.ReadFile(r.file.path); {
	case errors.Is(err, fs.ErrNotExist):
		err = r.file.rewrite(nil)
		if err != nil {
			return nil, err
		}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", shown(path), plainly(err))
	case string(data) != sheet.RowsHeader():
		r.close()
		return nil, fmt.Errorf("%s: it is there already, and the sheet does not name it\n  hint: if it holds the readings of this sheet, add the line `readings: %s` to the sheet; else rename it", shown(path), shown(file))
	}
	if err := replaceWhole(r.sheet, []byte(with)); err != nil {
		r.close()
		return nil, err
	}
	r.told = append(r.told, fmt.Sprintf("Readings are kept in %s, which the sheet now names.", r.file.name()))
	return []byte(with), nil
}

func (r *recorder) begin(text []byte) error {
	torn, err := r.file.heal()
	if err != nil {
		return err
	}
	if torn != "" {
		r.told = append(r.told, fmt.Sprintf("The last row of %s was torn: %s. It was set aside in %s and is no reading; take that one again.",
			r.file.name(), shown(torn), r.file.name()+".torn"))
	}
	seen := map[string][]byte{} // what a session reads stays the same while it lasts
	state, err := guide.New(r.sheet, text, func(path string) ([]byte, error) {
		if data, ok := seen[path]; ok {
			return data, nil
		}
		data, err := r.beside(path)
		if err == nil {
			seen[path] = data
		}
		return data, err
	})
	if err != nil {
		return err
	}
	r.text, r.state = text, state
	if n := len(state.Rows()); n > 0 {
		r.told = append(r.told, fmt.Sprintf("%s holds %s.", r.file.name(), count(n, "reading")))
	}
	return r.file.follow(state.Rows())
}

func (r *recorder) close() {
	if r.file != nil {
		r.file.release()
	}
}

// do takes one event. When it returns without an error, what the event changed
// is on the disk.
func (r *recorder) do(e guide.Event) (guide.Change, error) {
	if e.Kind == guide.Read {
		e.Time = r.env.now().Format(time.RFC3339)
	}
	next, change, err := r.state.Apply(e)
	if err != nil {
		return change, err
	}
	switch writes := change.Sheet != nil || change.Rows || change.Add != nil; {
	case writes && r.sheetChanged():
		return guide.Change{}, fmt.Errorf("%s was changed or moved meanwhile, and the readings go by what it said before\n  hint: this was NOT kept, what was kept before is safe; stop here and start again, so that the sheet as it is now counts", shown(r.sheet))
	case change.Sheet != nil:
		err = replaceWhole(r.sheet, change.Sheet)
	case change.Rows, change.Add != nil && change.Add.Struck != "":
		err = r.file.rewrite(next.Rows())
	case change.Add != nil:
		err = r.file.append(*change.Add)
	}
	if errors.Is(err, errGone) {
		err = r.file.replace(sheet.Rows(next.Rows()))
	}
	if err != nil {
		return guide.Change{}, err
	}
	r.state = next
	if change.Sheet != nil {
		r.text = change.Sheet
	}
	return change, nil
}

// sheetChanged reports whether the sheet is not what the session read or wrote.
func (r *recorder) sheetChanged() bool {
	now, err := os.ReadFile(r.sheet)
	return err != nil || !bytes.Equal(now, r.text)
}

// speaks returns the words for the session as it stands.
func (r *recorder) speaks() words.Recording { return words.NewRecording(r.state.View()) }

// notKept says that an event could not be written down, and what then.
func notKept(err error) string {
	return strings.TrimSuffix(err.Error(), ".") + "\n  hint: this was NOT kept; what was kept before is safe. Make room, or mend what is said above, and enter it again"
}
