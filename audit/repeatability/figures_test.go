package repeatability_test

import (
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
)

// Whole results, as they are: what each figure should be is the matter of the
// other tests.
func TestFiguresOfClasses(t *testing.T) {
	class, _, err := sheet.Read("class.yaml", testkit.Read(t, "study/class.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	ofSheet, err := repeatability.FromSheet(class)
	if err != nil {
		t.Fatal(err)
	}
	of := map[string]repeatability.Data{"sheet": ofSheet}
	for _, name := range []string{"study/class", "study/holes"} {
		data, err := repeatability.ReadStudy(name, testkit.Read(t, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		of[name[len("study/"):]] = data
	}
	for name, data := range of {
		t.Run(name, func(t *testing.T) {
			testkit.Figures(t, "figures/repeat-"+name+".txt", repeatability.Analyse(data, repeatability.PoolAuto))
		})
	}
	t.Run("not pooled", func(t *testing.T) {
		testkit.Figures(t, "figures/repeat-not-pooled.txt", repeatability.Analyse(of["class"], repeatability.PoolNever))
	})
}
