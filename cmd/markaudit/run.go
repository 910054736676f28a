package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"markaudit/audit/inputerror"

	"github.com/spf13/cobra"
)

// version is that of the program; nothing else knows it.
const version = "0.1.0"

const software = "markaudit " + version

// run carries out one call and returns its exit status.
func run(env Env, args []string) int {
	out := &sink{to: env.Stdout}
	env.Stdout = out
	root := newRoot(env)
	root.SetArgs(withoutMinus(root, args))
	err := root.Execute()
	if out.err != nil {
		err = &unwritten{"standard output", out.err}
	}
	complain(env.Stderr, err)
	return status(err)
}

func newRoot(env Env) *cobra.Command {
	root := &cobra.Command{
		Use:   "markaudit COMMAND",
		Short: "Audit an engine's timing marks against a positive stop",
		Long: `markaudit tells, from contacts against a positive stop and readings of the
marks, how far each timing mark is off, how sure that is, what to measure next,
and where to scribe the new line.`,
		Example:           "markaudit demo",
		SilenceUsage:      true,
		SilenceErrors:     true,
		DisableAutoGenTag: true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:              knownCommand,
		RunE:              func(c *cobra.Command, _ []string) error { return c.Help() },
		PersistentPreRunE: func(c *cobra.Command, _ []string) error { return formatByName(c) },
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
	root.AddCommand(newAudit(env), newPlan(env), newCompare(env), newDemo(env), newNew(env), newTDC(), newDrop(), newArc(), newWheel(env), newRepeat(env), newQualify(env), newRehearse(env), newStrip(env), newRecord(env), newBench(env), newVersion(), newCompletion())
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

// The exit statuses. Zero is done.
const (
	statusNotWithin = 1 // --require within, and a mark is not
	statusBad       = 2 // bad usage or unusable input
	statusUnwritten = 3
)

// errNotWithin and errTold end a command whose sentences have been said.
var (
	errNotWithin = errors.New("a mark is not within")
	errTold      = errors.New("an input was unusable")
)

// unwritten is an output that could not be written.
type unwritten struct {
	to  string
	err error
}

func (u *unwritten) Error() string { return "cannot write " + u.to + ": " + plainly(u.err).Error() }
func (u *unwritten) Unwrap() error { return u.err }

func status(err error) int {
	var output *unwritten
	switch {
	case err == nil:
		return 0
	case errors.As(err, &output):
		return statusUnwritten
	case errors.Is(err, errNotWithin):
		return statusNotWithin
	}
	return statusBad
}

// complain says an error on standard error. Faults of a sheet begin with their
// file, as editors expect; who closed the pipe wants to hear nothing.
func complain(w io.Writer, err error) {
	var faults inputerror.List
	switch {
	case err == nil, errors.Is(err, errNotWithin), errors.Is(err, errTold), closedPipe(err):
	case errors.As(err, &faults):
		fmt.Fprintln(w, err)
	default:
		fmt.Fprintln(w, "markaudit:", err)
	}
}

// badCall is a call that cannot be carried out as it stands.
type badCall struct{ text, instead string }

func (b *badCall) Error() string {
	if b.instead == "" || strings.Contains(b.text, "\n  hint: ") {
		return b.text
	}
	return b.text + "\n  hint: such as " + b.instead
}

// bad refuses a call, and shows a right one.
func bad(c *cobra.Command, format string, args ...any) error {
	example, _, _ := strings.Cut(c.Example, "\n")
	return &badCall{fmt.Sprintf(format, args...), strings.TrimSpace(example)}
}
