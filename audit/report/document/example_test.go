package document_test

import (
	"os"

	"markaudit/audit/report/document"
)

// A document is blocks; each form prints them in its own way.
func ExampleMarkdown() {
	_ = document.Markdown(os.Stdout, document.Doc{
		document.Heading{Text: "Brickworks pump"},
		document.Steps{Items: []string{"Take the stop out.", "Read the line again."}},
	})
	// Output:
	// # Brickworks pump
	//
	// 1. Take the stop out.
	// 2. Read the line again.
}
