package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/inputerror"
	"markaudit/cmd/markaudit/internal/world"
)

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

// status is the exit status that an error ends the program with.
func status(err error) int {
	var output *world.Unwritten
	switch {
	case err == nil:
		return 0
	case errors.As(err, &output):
		return statusUnwritten
	case errors.Is(err, errNotWithin), errors.As(err, new(unmet)):
		return statusNotWithin
	}
	return statusBad
}

// complain says an error on standard error. Faults of a sheet begin with their
// file, as editors expect; who closed the pipe wants to hear nothing.
func complain(w io.Writer, err error) {
	var faults inputerror.List
	switch {
	case err == nil, errors.Is(err, errNotWithin), errors.Is(err, errTold), world.ClosedPipe(err):
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
