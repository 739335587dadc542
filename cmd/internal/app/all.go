package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// PropertyFiles lists the property files that are named and those of the folders that
// are named and below them, each once; those of this folder where nothing is. Links to folders,
// and folders whose name begins with a dot are passed over.
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
// many properties goes through it or through AskAll. An Interrupted says how far it came.
func OverAll(ctx context.Context, paths []string, from Environment, doing string, each func(path string) error) (failed []string, err error) {
	defer from.begin(doing)()
	for i, path := range paths {
		from.tell(Progress{Doing: doing, Done: i + 1, Of: len(paths), Things: "property", At: path})
		err := each(path)
		if ctx.Err() != nil {
			return nil, interruptedAfter(i, len(paths))
		}
		failed = append(failed, ReasonOf(err))
	}
	return failed, nil
}

func interruptedAfter(done, of int) error {
	return &Interrupted{Done: fmt.Sprintf("%d of %d properties were done", done, of)}
}

// ReasonOf gives the words of an error as the one line of a table; empty for none.
func ReasonOf(err error) string {
	if err == nil {
		return ""
	}
	return strings.ReplaceAll(strings.ReplaceAll(err.Error(), "\nhint: ", "; "), "\n", "; ")
}

// mostAtOnce is how many properties are asked at the same time where there are
// processors for it; each is held in memory whole.
const mostAtOnce = 4

// AskAll is OverAll for what is asked of each property alone: ask may be called for
// several at once, take is called with its answers in the order of the files.
func AskAll[T any](
	ctx context.Context,
	paths []string,
	from Environment,
	doing string,
	ask func(path string) (T, error),
	take func(path string, answer T, err error),
) (failed []string, err error) {
	defer from.begin(doing)()
	atOnce := min(mostAtOnce, runtime.GOMAXPROCS(0), len(paths))
	type answer struct {
		of  T
		err error
	}
	answers := make([]chan answer, len(paths))
	for i := range answers {
		answers[i] = make(chan answer, 1)
	}
	var next atomic.Int64
	var asking sync.WaitGroup
	// A panic is one of whoever asked, not of a goroutine that nobody hears.
	panicked := make(chan any, atOnce)
	stop := make(chan struct{})
	defer asking.Wait()
	defer close(stop)
	for range atOnce {
		asking.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					panicked <- p
				}
			}()
			for {
				i := int(next.Add(1)) - 1
				if i >= len(paths) || ctx.Err() != nil {
					return
				}
				select {
				case <-stop:
					return
				default:
				}
				of, err := ask(paths[i])
				answers[i] <- answer{of, err}
			}
		})
	}
	for i, path := range paths {
		from.tell(Progress{Doing: doing, Done: i + 1, Of: len(paths), Things: "property", At: path})
		var got answer
		select {
		case got = <-answers[i]:
		case p := <-panicked:
			panic(p)
		case <-ctx.Done():
		}
		if ctx.Err() != nil {
			return nil, interruptedAfter(i, len(paths))
		}
		take(path, got.of, got.err)
		failed = append(failed, ReasonOf(got.err))
	}
	return failed, nil
}

// Copies tells which of many property files hold a property that a file before them
// holds already: a backup, or one that came back.
type Copies struct{ first map[string]string }

// Of takes a file with the id of its property, and gives the file before it that holds
// the same; empty for none.
func (c *Copies) Of(id, path string) string {
	if c.first == nil {
		c.first = map[string]string{}
	}
	if of, ok := c.first[id]; ok {
		return of
	}
	c.first[id] = path
	return ""
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
