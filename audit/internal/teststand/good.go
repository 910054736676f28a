package teststand

import (
	"path"
	"strings"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
)

// Good are the good sheets of testdata, by their names.
func Good(t testkit.T) map[string]sheet.Sheet {
	t.Helper()
	out := map[string]sheet.Sheet{}
	for _, file := range testkit.Files(t, "sheets/good/*.yaml") {
		name := strings.TrimSuffix(path.Base(file), ".yaml")
		out[name] = good(t, name)
	}
	return out
}

func good(t testkit.T, name string) sheet.Sheet {
	t.Helper()
	file := "sheets/good/" + name + ".yaml"
	s, _, err := sheet.Read(file, testkit.Read(t, file), testkit.Beside(t, "sheets/good"))
	if err != nil {
		t.Fatalf("%v", err)
	}
	return s
}
