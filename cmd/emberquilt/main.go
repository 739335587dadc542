// Emberquilt plans prescribed burns of habitat units over years; see the
// README.
package main

import (
	"os"

	"emberquilt/cmd/internal/cli"
)

func main() { os.Exit(cli.Main()) }
