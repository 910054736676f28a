package cli

import (
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/world"
)

func TestWithoutMinus(t *testing.T) {
	tests := []struct{ args, want string }{
		{"tdc -22 22 --counts up", "tdc −22 22 --counts up"},
		{"tdc --step -0.5 -22 22", "tdc --step -0.5 −22 22"},
		{"tdc --step=-0.5 -.5", "tdc --step=-0.5 −.5"},
		{"arc -- -2.5", "arc -- -2.5"},
		{"arc -h -2.5", "arc -h −2.5"},
		{"audit -2.5", "audit -2.5"},
		{"nothing -2.5", "nothing -2.5"},
	}
	for _, tt := range tests {
		args := strings.Fields(tt.args)
		got := strings.Join(withoutMinus(newRoot(world.World{}), args), " ")
		if got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.args, got, tt.want)
		}
		if strings.Join(args, " ") != tt.args {
			t.Errorf("%s: the caller's arguments changed", tt.args)
		}
	}
}
