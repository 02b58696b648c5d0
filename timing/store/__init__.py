"""What can be made again, kept by content: a key that covers everything the value depends on in, the value out."""
