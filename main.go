// Command tankhand is the service technician's hand at the tank: live level, checks, guided fault
// finding and the record of the visit.
package main

import (
	"os"

	"example.org/tankhand/tui/command"
)

// version is stamped by the release build.
var version = "development"

func main() {
	p := &command.Program{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Version: version}
	os.Exit(p.Run(os.Args[1:]))
}
