// Package cli is the command line: a file for each command, which reads its flags
// and computes nothing, and what commands share. It is the only place that knows
// cobra.
package cli

import (
	"io"

	"markaudit/cmd/markaudit/internal/webserver"
	"markaudit/cmd/markaudit/internal/world"

	"github.com/spf13/cobra"
)

// Run carries out one call and returns its exit status.
func Run(env world.World, args []string) int {
	cobra.MousetrapHelpText = "" // a double click opens the page, and tells nobody to type
	out := &sink{to: env.Stdout}
	env.Stdout = out
	root := newRoot(env)
	root.SetArgs(withoutMinus(root, args))
	err := root.Execute()
	if out.err != nil {
		err = &world.Unwritten{To: "standard output", Err: out.err}
	}
	complain(env.Stderr, err)
	return status(err)
}

func newRoot(env world.World) *cobra.Command {
	root := &cobra.Command{
		Use:   "markaudit COMMAND",
		Short: "Audit an engine's timing marks against a positive stop",
		Long: `markaudit tells, from contacts against a positive stop and readings of the
marks, how far each timing mark is off, how sure that is, what to measure next,
and where to scribe the new line.

"markaudit shop" opens it as a page; nothing else need be typed.`,
		Example:           "markaudit demo",
		SilenceUsage:      true,
		SilenceErrors:     true,
		DisableAutoGenTag: true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:              knownCommand,
		RunE: func(c *cobra.Command, _ []string) error {
			if env.Clicked != nil && env.Clicked() {
				return serveShop(env, webserver.ShopOptions{Open: true}, true)
			}
			return c.Help()
		},
		PersistentPreRunE: func(c *cobra.Command, _ []string) error {
			if err := formatByName(c); err != nil {
				return err
			}
			return notOnScreen(c, env)
		},
	}
	root.SetIn(env.Stdin)
	root.SetOut(env.Stdout)
	root.SetErr(env.Stderr)
	root.SetFlagErrorFunc(badFlag)
	root.AddGroup(
		&cobra.Group{ID: "sheets", Title: "With a sheet:"},
		&cobra.Group{ID: "bench", Title: "At the engine, without a sheet:"},
		&cobra.Group{ID: "program", Title: "About the program:"},
	)
	root.SetHelpCommand(newHelp())
	root.AddCommand(newShop(env), newAudit(env), newPlan(env), newCompare(env), newHistory(env), newDemo(env), newNewSheet(env), newTDC(), newDrop(), newArc(), newWheel(env), newRepeat(env), newQualify(env), newRehearse(env), newStrip(env), newRecord(env), newServe(env), newVersion(), newCompletion())
	return root
}

// sink remembers the first trouble in writing, also of writers that do not look.
type sink struct {
	to  io.Writer
	err error
}

func (s *sink) Write(p []byte) (int, error) {
	n, err := s.to.Write(p)
	if err != nil && s.err == nil {
		s.err = err
	}
	return n, err
}
