package main

import (
	"io"

	"markaudit/audit/sheet"

	"github.com/spf13/cobra"
)

func newNew(env Env) *cobra.Command {
	var output outputName
	c := &cobra.Command{
		Use:     "new",
		GroupID: "sheets",
		Short:   "Print a sheet to fill in",
		Long: `new prints an empty sheet with a comment on every key. Fill it in at the engine,
then audit it.`,
		Example:           "markaudit new --output pump.yaml",
		Args:              noArguments,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	c.Flags().Var(&output, "output", "write the sheet to this file, unless there is one")
	c.RunE = func(*cobra.Command, []string) error {
		if output != "" {
			return writeNew(string(output), sheet.Blank())
		}
		_, err := io.WriteString(env.Stdout, sheet.Blank())
		return err
	}
	return c
}
