"""Makes certificates that vouch for themselves."""

import datetime
import ipaddress
from collections.abc import Sequence
from pathlib import Path


def self_signed(
    file: Path, names: Sequence[str], *, begins: datetime.datetime, ends: datetime.datetime
) -> str:
    """Write a key and its certificate into a file; the certificate's sum.

    Args:
        file: where it is written.
        names: whom it is for: names and addresses.
        begins: from when on it is good.
        ends: until when; certificates know whole seconds.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    def name_of(text: str) -> x509.GeneralName:
        try:
            return x509.IPAddress(ipaddress.ip_address(text))
        except ValueError:
            return x509.DNSName(text)

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, names[0])])
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.SubjectAlternativeName([name_of(each) for each in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    plain = (serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    file.write_bytes(key.private_bytes(pem, *plain) + made.public_bytes(pem))
    return made.fingerprint(hashes.SHA256()).hex()
