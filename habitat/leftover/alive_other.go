//go:build !unix

package leftover

import "os"

// isAlive reports whether a process of this number runs: elsewhere than on Unix one
// that does not run cannot be found.
func isAlive(process int) bool {
	p, err := os.FindProcess(process)
	if err != nil {
		return false
	}
	p.Release()
	return true
}
