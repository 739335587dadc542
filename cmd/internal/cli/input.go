package cli

import (
	"errors"
	"io"
	"io/fs"

	"emberquilt/habitat/source"
)

// noFile says that an input file cannot be read at all: bad input, like one
// that can be read and makes no sense.
func noFile(path string, err error) error {
	found := "cannot be read: " + cause(err).Error()
	if errors.Is(err, fs.ErrNotExist) {
		found = "there is no such file"
	}
	return &source.Error{Position: source.Position{File: path}, Found: found}
}

// readAll reads standard input, up to what any list may hold.
func readAll(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, source.MaxTextBytes+1))
}

// isPathError finds errors of the file system, which are not about content.
func isPathError(err error) bool {
	var path *fs.PathError
	return errors.As(err, &path)
}
