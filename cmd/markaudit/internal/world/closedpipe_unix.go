//go:build !windows

package world

import "syscall"

const pipeClosing = syscall.EPIPE
