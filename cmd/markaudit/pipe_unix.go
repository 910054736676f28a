//go:build !windows

package main

import "syscall"

const pipeClosing = syscall.EPIPE
