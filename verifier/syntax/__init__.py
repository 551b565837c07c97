"""From text to tree and back."""
