//go:build !amd64

package bound

func setVector(bool) {}
