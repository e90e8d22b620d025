"""An invented plant with planted weaknesses and an answer key: demo, tests, training."""
