// Package pattern holds regular expressions until they are needed: a command line asks for
// few of the program's, and compiling all of them took a twentieth of a short command.
package pattern

import (
	"regexp"
	"sync"
)

// Lazy gives an expression (syntax of package regexp) that is compiled when it is first
// called for; one that does not compile panics then. It is safe for concurrent use.
func Lazy(expression string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}
