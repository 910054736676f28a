package devices

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

var today = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// What one run lets in, the next one knows, for thirty days; two runs at a time
// lose nothing of each other.
func TestRemembered(t *testing.T) {
	path := filepath.Join(t.TempDir(), "markaudit", "shop.json")
	first, err := at(path)
	if err != nil {
		t.Fatal(err)
	}
	second, err := at(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range []*Store{first, second} {
		if err := s.Seen([]string{"one", "two"}[i], today); err != nil {
			t.Fatal(err)
		}
	}
	if err := first.Served(8417); err != nil {
		t.Fatal(err)
	}
	again, err := at(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(again.Known(today)) != 2 || again.Port() != 8417 || again.Secret() != first.Secret() {
		t.Errorf("got %+v", again.kept)
	}
	if n := len(again.Known(today.AddDate(0, 0, 31))); n != 0 {
		t.Errorf("%d devices are trusted after 31 days", n)
	}
	if info, err := os.Stat(path); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("got %v and mode %v, want 0600", err, info.Mode())
	}
	if err := again.Forget(); err != nil || len(again.Known(today)) != 0 {
		t.Errorf("got %v and %d devices", err, len(again.Known(today)))
	}
}

// A file that cannot be read is left alone, and devices are let in for this run.
func TestUnreadable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.json")
	if err := os.WriteFile(path, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := at(path)
	if err == nil || len(s.Secret()) < 32 {
		t.Errorf("got %v and a secret of %d characters", err, len(s.Secret()))
	}
	if err := s.Seen("one", today); err != nil || len(s.Known(today)) != 1 {
		t.Errorf("got %v", err)
	}
	if data, _ := os.ReadFile(path); string(data) != "{" {
		t.Errorf("the file became %s", data)
	}
}
