// Package asbuilt holds no code, only tests: of the program as it is built and shipped, from outside.
// It is run over SSH and in tmux, killed, starved of disk and handed wrong files, and what a
// technician would have left afterwards is looked at with the program's own commands.
package asbuilt
