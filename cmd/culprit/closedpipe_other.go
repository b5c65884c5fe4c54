//go:build !windows

package main

import "syscall"

// closedPipes are what the system says where the reader of a pipe has gone.
var closedPipes = []syscall.Errno{syscall.EPIPE}
