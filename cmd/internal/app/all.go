package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// PropertyFiles lists the property files that are named and those of the folders that
// are named and below them, each once; those of this folder where nothing is. Links and
// folders whose name begins with a dot are passed over.
func PropertyFiles(named []string) ([]string, error) {
	if len(named) == 0 {
		named = []string{"."}
	}
	var files []string
	for _, name := range named {
		found := []string{name}
		// A file that is not there fails for itself and holds up no other.
		if info, err := os.Stat(name); err == nil && info.IsDir() {
			found = nil
			err := filepath.WalkDir(name, func(path string, entry fs.DirEntry, err error) error { // in order of names
				switch {
				case err != nil && path == name:
					return err
				case err != nil:
					found = append(found, path) // fails for itself
				case entry.IsDir() && path != name && strings.HasPrefix(entry.Name(), "."):
					return filepath.SkipDir
				case !entry.IsDir() && strings.HasSuffix(entry.Name(), Extension):
					found = append(found, path)
				}
				return nil
			})
			if err != nil {
				return nil, &OptionError{Option: name, Found: "cannot be read as a folder", Accepts: "a folder with property files"}
			}
			if len(found) == 0 {
				return nil, &OptionError{Option: name, Found: "holds no property file", Accepts: "property files (*" + Extension + "), or folders with some"}
			}
		}
		for _, file := range found {
			if !slices.Contains(files, file) {
				files = append(files, file)
			}
		}
	}
	return files, nil
}

// OverAll goes through property files in their order, and on past those that fail: it
// gives for each file why it failed, empty where it did not. Everything that is asked of
// many properties goes through it. An Interrupted says how far it came.
func OverAll(ctx context.Context, paths []string, from Environment, doing string, each func(path string) error) (failed []string, err error) {
	defer from.begin(doing)()
	for i, path := range paths {
		from.tell(Progress{Doing: doing, Done: i + 1, Of: len(paths), Things: "property", At: path})
		err := each(path)
		if ctx.Err() != nil {
			return nil, &Interrupted{Done: fmt.Sprintf("%d of %d properties were done", i, len(paths))}
		}
		reason := ""
		if err != nil {
			reason = err.Error()
		}
		failed = append(failed, reason)
	}
	return failed, nil
}

// AllStamp says from what and when a paper of many properties is made.
func AllStamp(from Environment, count int) view.Stamp {
	stamp := from.stamp("that of each property")
	stamp.Property = quantity.Count(count, "property file")
	return stamp
}

// InSession opens one of many property files ToRead, for one piece of work.
func InSession(ctx context.Context, path string, from Environment, do func(*Session) error) error {
	from.Progress = nil // the run over all of them tells how far it is
	s, err := Open(ctx, path, ToRead, from)
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}
