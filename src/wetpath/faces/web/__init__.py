"""The web application: one view a question, one frame, no physics."""
