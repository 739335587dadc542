package cli

import (
	"io/fs"
	"path/filepath"
	"strings"

	"emberquilt/habitat"
)

// mostSearched bounds the files that a search for a moved one reads.
const mostSearched = 5000

// fileSearch finds files by their checksum below a folder. Hidden folders are
// left out, and links are not followed.
type fileSearch struct {
	folder string
	// sums holds the files read so far, by ending and then by checksum.
	sums map[string]map[string]string
}

// find gives the path below the folder of a file with the attachment's ending
// and checksum, or nothing.
func (s *fileSearch) find(file habitat.Attachment) string {
	ending := strings.ToLower(filepath.Ext(file.Path))
	if s.sums[ending] == nil {
		if s.sums == nil {
			s.sums = map[string]map[string]string{}
		}
		s.sums[ending] = s.read(ending)
	}
	return s.sums[ending][file.SHA256]
}

func (s *fileSearch) read(ending string) map[string]string {
	found := map[string]string{}
	count := 0
	// What cannot be read is not a find: the walk goes on.
	filepath.WalkDir(s.folder, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil
		case entry.IsDir() && path != s.folder && strings.HasPrefix(entry.Name(), "."):
			return filepath.SkipDir
		case !entry.Type().IsRegular() || strings.ToLower(filepath.Ext(path)) != ending:
			return nil
		}
		if count++; count > mostSearched {
			return filepath.SkipAll
		}
		sum, err := checksum(path)
		if err != nil {
			return nil
		}
		if within, err := filepath.Rel(s.folder, path); err == nil && found[sum] == "" {
			found[sum] = filepath.ToSlash(within)
		}
		return nil
	})
	return found
}
