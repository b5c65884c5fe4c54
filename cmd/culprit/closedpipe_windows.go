package main

import "syscall"

// closedPipes are what the system says where the reader of a pipe has gone:
// ERROR_BROKEN_PIPE and ERROR_NO_DATA.
var closedPipes = []syscall.Errno{109, 232}
