package world

import "github.com/inconshreveable/mousetrap"

// clicked reports whether the program was started by a double click. Windows can
// tell: its parent is then the desktop.
func clicked() bool { return mousetrap.StartedByExplorer() }
