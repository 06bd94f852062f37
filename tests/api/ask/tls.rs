//! `barrowful ask` where the service is reached by TLS.

use super::{folder, text};
use crate::support::{in_repository, service};
use rcgen::{CertifiedKey, generate_simple_self_signed};
use rustls::pki_types::PrivateKeyDer;
use rustls::{ServerConfig, ServerConnection, StreamOwned};
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::Command;
use std::sync::Arc;

/// Hands over one connection to the service of the tests, as a proxy does that speaks TLS. Returns its port and its certificate.
fn proxy() -> (u16, String) {
    let CertifiedKey { cert, signing_key } = generate_simple_self_signed(["localhost".to_owned()]).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let key = PrivateKeyDer::try_from(signing_key.serialize_der()).unwrap();
    let config = ServerConfig::builder_with_provider(provider).with_safe_default_protocol_versions().unwrap();
    let config = Arc::new(config.with_no_client_auth().with_single_cert(vec![cert.der().clone()], key).unwrap());
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut caller = StreamOwned::new(ServerConnection::new(Arc::clone(&config)).unwrap(), stream.unwrap());
            let mut request = vec![0; 16 * 1024];
            let Ok(read) = caller.read(&mut request) else { continue };
            let mut behind = TcpStream::connect(service().trim_start_matches("http://")).unwrap();
            let head = String::from_utf8_lossy(&request[..read]).replacen("\r\n", "\r\nconnection: close\r\n", 1);
            behind.write_all(head.as_bytes()).unwrap();
            let mut answer = Vec::new();
            behind.read_to_end(&mut answer).unwrap();
            caller.write_all(&answer).unwrap();
            caller.conn.send_close_notify();
            let _ = caller.flush();
        }
    });
    (port, cert.pem())
}

#[test]
fn a_service_behind_tls_is_asked_if_its_certificate_is_trusted() {
    let (port, certificate) = proxy();
    let file = folder("tls").join("roots.pem");
    std::fs::write(&file, certificate).unwrap();
    let ask = |roots: &str| {
        let to = format!("https://localhost:{port}");
        let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
        command.current_dir(in_repository("")).args(["ask", "demo-data/applications/one-bed.json", "--to", &to]);
        command.env_remove("SSL_CERT_DIR").env("SSL_CERT_FILE", roots).output().unwrap()
    };
    let output = ask(file.to_str().unwrap());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("57.6 L"), "{}", text(&output.stdout));
    let output = ask(in_repository("Cargo.toml").to_str().unwrap());
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("ertificate"), "{}", text(&output.stderr));
}
