package recorder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"markaudit/audit/csvfile"
	"markaudit/audit/guide"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// Export moves the readings of a sheet into a file beside it, and returns how many
// they are and the path of the file. With comma it has semicolons, and commas in its
// numbers, as some spreadsheets want it.
func Export(env world.World, name string, comma bool) (n int, path string, err error) {
	text, err := env.Read(name, sheet.MostSheetBytes, nil)
	if err != nil {
		return 0, "", fmt.Errorf("%s: %w", phrase.Shown(name), err)
	}
	open := func(path string) ([]byte, error) {
		return env.Read(world.Beside(filepath.Dir(name), path), csvfile.MostBytes, nil)
	}
	u, _, err := sheet.ReadUnfinished(name, text, open)
	switch {
	case err != nil:
		return 0, "", err
	case !u.Inline:
		return 0, "", fmt.Errorf("%s: no readings stand in the sheet itself, so there is nothing to export", phrase.Shown(name))
	}
	rows, err := guide.Export(u.Sheet)
	if err != nil {
		return 0, "", fmt.Errorf("%s: %w", phrase.Shown(name), err)
	}
	table := readings.Write(rows)
	if comma {
		table = readings.WriteComma(rows)
	}
	file := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) + ".csv"
	after := guide.Attach(string(text), file)
	again, _, err := sheet.ReadUnfinished(name, []byte(after), func(path string) ([]byte, error) {
		if path == file {
			return table, nil
		}
		return open(path)
	})
	if err != nil || again.Readings != file {
		return 0, "", fmt.Errorf("%s: cannot exchange setups for a readings file on a sheet that is laid out like this", phrase.Shown(name))
	}
	path = world.Beside(filepath.Dir(name), file)
	if err := env.Allowed(path); err != nil {
		return 0, "", fmt.Errorf("%s: %w", phrase.Shown(path), err)
	}
	if err := atomicwrite.WriteNew(path, string(table)); err != nil {
		return 0, "", err
	}
	if err := atomicwrite.Replace(name, []byte(after)); err != nil {
		if err2 := os.Remove(path); err2 != nil && !errors.Is(err2, fs.ErrNotExist) {
			return 0, "", errors.Join(err, err2)
		}
		return 0, "", err
	}
	return len(rows), path, nil
}
