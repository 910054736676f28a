package stats

import (
	"testing"

	"markaudit/audit/internal/testkit"
)

func TestMain(m *testing.M) { testkit.MainOfQuick(m) }
