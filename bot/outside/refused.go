package outside

import (
	"errors"
	"net"
)

// refused reports whether a request surely reached nobody: no connection was made.
func refused(err error) bool {
	var op *net.OpError
	var name *net.DNSError
	return errors.As(err, &op) && op.Op == "dial" || errors.As(err, &name)
}
