// Package rehearse seals what is true of a virtual stand, opens it again, and
// holds the audit and an apprentice's answers against it.
package rehearse
