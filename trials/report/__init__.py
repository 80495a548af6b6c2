"""The one HTML file to keep and to send."""
