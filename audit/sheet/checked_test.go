package sheet

import (
	"reflect"
	"strings"
	"testing"

	"markaudit/audit/internal/testkit"
)

// Every word arrives where it belongs, and comes back from a sheet written anew.
func TestCheckedArrives(t *testing.T) {
	text := string(testkit.Read(t, "sheets/good/pump.yaml"))
	for words, want := range map[string]Checked{
		"letters":                              {Letters: true},
		"names":                                {Names: true},
		"nominals":                             {Nominals: true},
		"cylinders":                            {Cylinders: true},
		"tolerances":                           {Tolerances: true},
		"rod":                                  {Rod: true},
		"line TDC":                             {Lines: []string{"TDC"}},
		"line inject 23, rod, line TDC, names": {Names: true, Rod: true, Lines: []string{"inject 23", "TDC"}},
	} {
		s, _, err := Read("x.yaml", []byte("checked: ["+words+"]\n"+text), nil)
		if err != nil {
			t.Fatal(err)
		}
		again, _, err := Read("y.yaml", []byte(Write(s)), nil)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(s.Checked, want) || !reflect.DeepEqual(again.Checked, want) {
			t.Errorf("%s: got %+v, written and read again %+v, want %+v", words, s.Checked, again.Checked, want)
		}
	}
	if s := mustRead(t, "pump.yaml"); strings.Contains(Write(s), "checked") {
		t.Error("a sheet without checked is written with it")
	}
}
