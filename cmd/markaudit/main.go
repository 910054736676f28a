// Command markaudit tells, from a filled-in sheet, how far each timing mark of
// an engine is off, how sure that is, and where to scribe the new line.
package main

import (
	"os"

	"markaudit/cmd/markaudit/internal/cli"
	"markaudit/cmd/markaudit/internal/world"
)

func main() {
	os.Exit(cli.Run(world.System(), os.Args[1:]))
}
