package uncertainty

import (
	"testing"

	"markaudit/audit/internal/testkit"
)

func TestMain(m *testing.M) { testkit.Main(m) }
