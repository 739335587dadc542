//go:build unix

package leftover

import (
	"errors"
	"syscall"
)

// isAlive reports whether a process of this number runs, whoever's it is.
func isAlive(process int) bool {
	err := syscall.Kill(process, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
