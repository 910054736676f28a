package world

import (
	"os/exec"
	"runtime"
)

// browse opens an address of this program in the browser of the person. It waits
// for nothing: the browser goes on when this program ends.
func browse(address string) error {
	var c *exec.Cmd
	switch runtime.GOOS {
	case "windows":
		c = exec.Command("rundll32", "url.dll,FileProtocolHandler", address)
	case "darwin":
		c = exec.Command("open", address)
	default:
		c = exec.Command("xdg-open", address)
	}
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }() // else it stays as a process that has ended
	return nil
}
