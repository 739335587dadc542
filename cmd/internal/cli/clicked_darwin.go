package cli

import (
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/term"
)

// isClicked reports whether the program was started without a command line: by the
// system itself, without words and without a terminal.
func isClicked() bool {
	for _, word := range os.Args[1:] {
		if !strings.HasPrefix(word, "-psn_") { // older systems number the process
			return false
		}
	}
	return os.Getppid() == 1 && !term.IsTerminal(int(os.Stdin.Fd())) && !term.IsTerminal(int(os.Stdout.Fd()))
}

// documentsFolder is the user's; empty where it is not known.
func documentsFolder() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return filepath.Join(home, "Documents")
}
