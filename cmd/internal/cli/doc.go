// Package cli is the command line: it reads flags and files, calls the
// packages that do the work, and prints what they return. One file holds one
// command.
//
// No rule of the job lives here. Results go to standard output, everything
// else to standard error. An error is printed once, by Program.Run, which also
// decides the exit status: 0 done, 1 failed, 2 wrong usage, 3 bad input, 4 no
// plan exists, 130 interrupted.
package cli
