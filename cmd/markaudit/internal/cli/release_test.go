package cli

import (
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/world"
)

const releaseFiles = top + ".ci/release/"

// What a double click starts on macOS: the folder as .ci/release/build lays it out, with
// a program in place of ours that writes down how it was called. That such a folder has
// Contents/Info.plist, which names a program in Contents/MacOS, is from memory.
func TestDoubleClickOnMacOS(t *testing.T) {
	var plist struct {
		Keys   []string `xml:"dict>key"`
		Values []string `xml:"dict>string"`
	}
	data, err := os.ReadFile(releaseFiles + "Info.plist")
	if err != nil {
		t.Fatal(err)
	}
	if err := xml.Unmarshal(data, &plist); err != nil {
		t.Fatal(err)
	}
	value := func(key string) string {
		i := slices.Index(plist.Keys, key)
		if i < 0 || i >= len(plist.Values) {
			t.Fatalf("Info.plist has no text for %s", key)
		}
		return plist.Values[i]
	}
	if got := value("CFBundleShortVersionString"); got != version {
		t.Errorf("Info.plist is of version %s, the program of %s", got, version)
	}
	if runtime.GOOS == "windows" {
		t.Skip("a shell script")
	}
	programs := filepath.Join(t.TempDir(), "tools of the shop", "markaudit.app", "Contents", "MacOS")
	script, err := os.ReadFile(releaseFiles + "open-shop")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(programs, 0o755); err != nil {
		t.Fatal(err)
	}
	name := value("CFBundleExecutable")
	for file, text := range map[string]string{name: string(script), "markaudit": "#!/bin/sh\necho \"called with $*\"\n"} {
		if err := os.WriteFile(filepath.Join(programs, file), []byte(text), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.Command(filepath.Join(programs, name))
	c.Dir = t.TempDir() // a double click begins elsewhere
	out, err := c.CombinedOutput()
	if got := strings.TrimSpace(string(out)); err != nil || got != "called with shop --ask-folder" {
		t.Errorf("got %q, %v", got, err)
	}
}

// What a double click starts on Linux is a call that the program knows.
func TestDoubleClickOnLinux(t *testing.T) {
	data, err := os.ReadFile(releaseFiles + "markaudit.desktop")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if lines[0] != "[Desktop Entry]" || !slices.Contains(lines, "Type=Application") {
		t.Errorf("no desktop entry:\n%s", data)
	}
	i := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, "Exec=") })
	if i < 0 || lines[i] != "Exec=markaudit shop --ask-folder" {
		t.Fatalf("it starts nothing that opens the page:\n%s", data)
	}
	c, _, err := newRoot(world.World{}).Find(strings.Fields(lines[i])[1:2])
	if err != nil || c.Name() != "shop" || c.Flags().Lookup("ask-folder") == nil {
		t.Errorf("markaudit shop --ask-folder is no call: %v", err)
	}
}
