package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"emberquilt/cmd/internal/web"
)

// clickedFolder is what a program that was started with a double click shows: a folder
// of its own among the user's documents.
const clickedFolder = "emberquilt"

// clickedIdle is after what time without an open page such a program ends itself:
// where no window shows it, nobody else would.
const clickedIdle = 10 * time.Minute

// runClicked opens the page in a folder of the user's documents, and says what is
// wrong where somebody can read it: the window closes with the program.
func (p Program) runClicked(ctx context.Context, documents string) int {
	out, errs := &visible{to: p.Out}, &visible{to: p.Err}
	a := &terminal{Program: p, files: p.Out}
	a.Out, a.Err = out, errs
	err := a.openClicked(ctx, documents)
	status := exitStatus(ctx, err)
	a.printError(nil, err, status)
	errs.end()
	out.end()
	if err != nil && ctx.Err() == nil {
		fmt.Fprint(p.Err, "\nPress Enter to close this window.\n")
		bufio.NewReader(p.In).ReadString('\n')
	}
	return status
}

func (a *terminal) openClicked(ctx context.Context, documents string) error {
	if documents == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return err
		}
		documents = home
	}
	folder := filepath.Join(documents, clickedFolder)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", folder, cause(err))
	}
	err := a.runPage(ctx, &pageOptions{path: folder, idle: clickedIdle})
	var served *web.ServedError
	if errors.As(err, &served) { // started once more: the page that is there comes to the front
		return web.OpenBrowser(served.Address)
	}
	return err
}
