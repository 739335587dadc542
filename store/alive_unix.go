//go:build unix

package store

import (
	"errors"
	"syscall"
)

// IsAlive reports whether a process of this number runs, whoever's it is.
func IsAlive(process int) bool {
	err := syscall.Kill(process, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
