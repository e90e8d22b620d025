"""What a start of the server needs besides Django: addresses, certificates, backups."""
