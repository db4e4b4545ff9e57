"""What people state: the text of statements comes in, typed statements go out, unread ones as troubles.

Statements are matched against a board later; nothing here knows what a board holds.
"""
