// Package document holds reports as blocks and prints them: as text for a
// terminal, as Markdown, and as a page of HTML that needs nothing else. A document
// is made once from a result, whatever the format that then prints it. The package
// knows nothing of what a document says.
package document
