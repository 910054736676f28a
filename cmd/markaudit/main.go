// Command markaudit tells, from a filled-in sheet, how far each timing mark of
// an engine is off, how sure that is, and where to scribe the new line.
package main

import "os"

func main() {
	os.Exit(run(system(), os.Args[1:]))
}
