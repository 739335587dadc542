//go:build !windows && !darwin

package cli

// isClicked reports whether the program was started without a command line; on this
// system nobody can tell.
func isClicked() bool { return false }

// documentsFolder is the user's; empty where it is not known.
func documentsFolder() string { return "" }
