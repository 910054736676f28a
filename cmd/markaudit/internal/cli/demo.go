package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"

	"github.com/spf13/cobra"
)

const demoName = "demo.yaml"

func newDemo(env world.World) *cobra.Command {
	var output outputName
	var folder fileName
	j := job{env: env, read: func(name string, _ fs.FileInfo) (sheet.Sheet, inputerror.Positions, error) {
		return sheet.Read(name, []byte(sheet.Demo()), nil)
	}}
	c := &cobra.Command{
		Use:     "demo",
		GroupID: "sheets",
		Short:   "Audit the demonstration sheet",
		Long: `demo audits a sheet that the program brings along: an invented engine with
invented readings. With --write the sheet is saved too, to be read, changed and
audited.`,
		Example: `markaudit demo
markaudit demo --write .`,
		Args:              noArguments,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	format := chooseFormat(c)
	budget := chooseBudget(c)
	c.Flags().Var(&output, "output", "write the audit to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Flags().Var(&folder, "write", "save the sheet in this `FOLDER` as "+demoName+", unless there is one")
	c.RunE = func(*cobra.Command, []string) error {
		if folder != "" {
			path, err := saveDemo(string(folder))
			if err != nil {
				return err
			}
			fmt.Fprintln(env.Stderr, "saved", phrase.Shown(path))
		}
		j.format, j.budget, j.output = format.word, *budget, string(output)
		return j.run([]string{demoName})
	}
	return c
}

// saveDemo saves the sheet in a folder, which is made if only it is missing.
func saveDemo(folder string) (string, error) {
	path := filepath.Join(folder, demoName)
	if err := os.Mkdir(folder, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", &world.Unwritten{To: path, Err: err}
	}
	return path, atomicwrite.WriteNew(path, sheet.Demo())
}
