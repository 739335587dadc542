package cli

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// draft is a file that is written beside its target and takes the target's
// name only when it is complete. A target that is not a regular file, such as a pipe
// or /dev/null, is written in place.
type draft struct {
	file   *os.File
	buffer *bufio.Writer
	// target is the name to take; empty where the file is written in place.
	target string
	// old is the file that has this name by now; nil where there is none.
	old fs.FileInfo
}

// newDraft begins a file whose mode is left to the user's own mask.
func newDraft(path string) (*draft, error) { return newDraftOf(path, 0o666) }

// newDraftOf begins a file of a mode.
func newDraftOf(path string, mode fs.FileMode) (*draft, error) {
	target := path
	if resolved, err := filepath.EvalSymlinks(path); err == nil {
		target = resolved
	}
	info, err := os.Stat(target)
	switch {
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("write %s: it is a folder", path)
	case err == nil && !info.Mode().IsRegular():
		file, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return nil, fmt.Errorf("write %s: %w", path, cause(err))
		}
		return &draft{file: file, buffer: bufio.NewWriter(file)}, nil
	}
	sweep(target)
	file, err := os.OpenFile(unfinishedName(target), os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", path, cause(err))
	}
	return &draft{file: file, buffer: bufio.NewWriter(file), target: target, old: info}, nil
}

// Write adds to the file.
func (d *draft) Write(p []byte) (int, error) { return d.buffer.Write(p) }

// complete brings everything to the disk, so that only the rename is left.
func (d *draft) complete() error {
	if err := d.buffer.Flush(); err != nil {
		return err
	}
	if d.target == "" {
		return d.file.Close()
	}
	if d.old != nil { // who may read and change it was decided for this name
		d.file.Chmod(d.old.Mode().Perm()) // where a file system knows no modes, there is none to keep
	}
	return errors.Join(d.file.Sync(), d.file.Close())
}

// publish gives the file its name.
func (d *draft) publish() error {
	if d.target == "" {
		return nil
	}
	return os.Rename(d.file.Name(), d.target)
}

// discard takes the file away again; after publish it does nothing.
func (d *draft) discard() {
	d.file.Close()
	if d.target != "" {
		os.Remove(d.file.Name())
	}
}

// output is one file to write, or standard output where Path is empty or "-".
type output struct {
	Path  string
	Write func(io.Writer) error
}

// writePrivate writes files with personal data, which only their owner can read.
func (a *terminal) writePrivate(all ...output) error { return a.writeOf(0o600, all) }

// write writes files whose mode is left to the user's own mask.
func (a *terminal) write(all ...output) error { return a.writeOf(0o666, all) }

// writeOf writes all the files, and gives them their names only when every one
// of them is complete.
func (a *terminal) writeOf(mode fs.FileMode, all []output) error {
	if err := a.takesPlace(all); err != nil {
		return err
	}
	var drafts []*draft
	defer func() {
		for _, d := range drafts {
			d.discard()
		}
	}()
	for _, o := range all {
		if o.Path == "" || o.Path == "-" {
			continue
		}
		d, err := newDraftOf(o.Path, mode)
		if err != nil {
			return err
		}
		drafts = append(drafts, d)
		if err := errors.Join(o.Write(d), d.complete()); err != nil {
			return fmt.Errorf("write %s: %w", o.Path, cause(err))
		}
		if err := a.checkOld(d, o.Path); err != nil {
			return err
		}
	}
	for _, o := range all {
		if o.Path == "" || o.Path == "-" {
			buffer := bufio.NewWriter(a.files)
			if err := errors.Join(o.Write(buffer), buffer.Flush()); err != nil {
				return fmt.Errorf("write standard output: %w", cause(err))
			}
		}
	}
	for _, d := range drafts {
		if err := d.publish(); err != nil {
			return fmt.Errorf("write %s: %w", d.target, cause(err))
		}
	}
	return nil
}

// cause drops the path that an error of the file system repeats: our message
// names the file already, and by the name that the user gave it.
func cause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

// open gives a file to read, or standard input for "-", with the name that
// error messages use.
func (a *terminal) open(path string) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(a.In), "standard input", nil
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, "", noFile(path, err)
	}
	if info, err := file.Stat(); err == nil {
		if info.IsDir() {
			file.Close()
			return nil, "", noFile(path, errors.New("it is a folder"))
		}
		a.inputs = append(a.inputs, info)
	}
	return file, strings.ReplaceAll(path, "\\", "/"), nil
}

// printJSON prints a value as JSON, indented for people.
func (a *terminal) printJSON(value any) error { return writeJSON(a.Out, value) }

// writeJSON writes a value as JSON, indented for people.
func writeJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(value)
}
