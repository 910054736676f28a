package world

import "syscall"

// pipeClosing is what a write into a closed pipe gives on Windows
// (ERROR_NO_DATA, system error 232).
const pipeClosing = syscall.Errno(232)
