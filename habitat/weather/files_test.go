package weather

import (
	"context"
	"os"
	"path/filepath"
)

// readFiles reads files of one station by their names.
func readFiles(ctx context.Context, names []string, options Options) (*Record, error) {
	files := make([]File, len(names))
	for i, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		files[i] = File{filepath.Base(name), f}
	}
	return Read(ctx, files, options)
}
