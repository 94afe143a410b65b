"""The trade's rules without rows or Django: agreement, cycles, youngsters, shoes, signs. Pure."""
