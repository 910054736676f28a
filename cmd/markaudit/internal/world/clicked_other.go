//go:build !windows

package world

// clicked reports whether the program was started by a double click. Elsewhere than
// on Windows it cannot be told from a typed call or a script, which must never wait
// for anything: there a double click starts the shop by a file of its own.
func clicked() bool { return false }
