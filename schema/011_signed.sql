-- A step that is taken by the first article that is signed; nothing of it stands here yet.

PRAGMA user_version = 11;
