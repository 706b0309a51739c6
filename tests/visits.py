"""A visitor: the page's messages with what they make of work and desk."""

from conversation import Conversation
from work.state import Work


class Visit:
    """A conversation that is asked for what its work has as if it were the work."""

    def __init__(self, solve=None):
        self.talk = Conversation(Work(solve=solve), solve)
        self.desk = self.talk.desk

    def handle(self, message):
        return self.talk.handle(message)

    def __getattr__(self, name):
        return getattr(self.talk.work, name)
