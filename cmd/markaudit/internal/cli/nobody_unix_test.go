//go:build unix

package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// asNobody lets a command run without the rights of root, whom no folder
// refuses. The program is copied to where everybody may run it.
func asNobody(t *testing.T, c *exec.Cmd) {
	t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	data, err := os.ReadFile(c.Path)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for at := dir; at != filepath.Dir(at) && at != os.TempDir(); at = filepath.Dir(at) {
		if err := os.Chmod(at, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	c.Path = filepath.Join(dir, "markaudit")
	if err := os.WriteFile(c.Path, data, 0o755); err != nil {
		t.Fatal(err)
	}
	const nobody = 65534
	c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}
