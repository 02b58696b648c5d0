"""What cannot be made again: line ids, requests, deliveries, what people decided. Files in, facts out, and back."""
