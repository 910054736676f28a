package world

import (
	"errors"
	"io"
	"syscall"
)

// ClosedPipe reports whether nobody reads the output any more. On Unix the
// signal ends the program before it comes to this, as with any filter.
func ClosedPipe(err error) bool {
	return errors.Is(err, syscall.EPIPE) || errors.Is(err, pipeClosing) || errors.Is(err, io.ErrClosedPipe)
}
