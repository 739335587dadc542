package cli

import (
	"errors"
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
