package cli

import (
	"runtime/debug"
	"testing"
)

func TestBuiltFrom(t *testing.T) {
	setting := func(key, value string) debug.BuildSetting { return debug.BuildSetting{Key: key, Value: value} }
	revision := setting("vcs.revision", "4fd8155000000000000000000000000000000000")
	date := setting("vcs.time", "2026-03-14T12:00:00Z")
	tests := []struct {
		name     string
		settings []debug.BuildSetting
		want     string
	}{
		{"no commit", []debug.BuildSetting{setting("-trimpath", "true")}, ""},
		{
			"as committed",
			[]debug.BuildSetting{setting("vcs", "git"), revision, date, setting("vcs.modified", "false")},
			"Built from commit 4fd8155000000000000000000000000000000000 of 2026-03-14T12:00:00Z. No file had been changed since.\n",
		},
		{
			"changed",
			[]debug.BuildSetting{setting("vcs.modified", "true"), date, revision},
			"Built from commit 4fd8155000000000000000000000000000000000 of 2026-03-14T12:00:00Z. Files had been changed since.\n",
		},
		{"the commit alone", []debug.BuildSetting{revision}, "Built from commit 4fd8155000000000000000000000000000000000.\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := builtFrom(&debug.BuildInfo{Settings: tt.settings}); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}
