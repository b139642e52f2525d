// Package storetest is the one suite that every store passes, without
// exceptions: each sentence of the contract in package store, and random
// operations whose every answer must be that of the reference model.
package storetest
