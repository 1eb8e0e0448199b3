//! Tests of the record against the RFCs' own examples.

use super::*;

/// RFC 8785 section 3.2.2 (input) and 3.2.4 (bytes).
#[test]
fn canonical_text_is_that_of_rfc_8785() {
    let input = r#"{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }"#;
    let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
    let value: Value = serde_json::from_str(input).expect("JSON");
    let text = canonical_json(&value).expect("canonical");
    assert_eq!(String::from_utf8(text).expect("UTF-8"), expected);
}

/// RFC 8785 section 3.2.3: keys sort by their UTF-16 units.
#[test]
fn keys_sort_as_in_rfc_8785() {
    let input = "{\"\u{20ac}\":1,\"\\r\":2,\"\u{fb33}\":3,\"1\":4,\"\u{1f600}\":5,\"\u{80}\":6,\"\u{f6}\":7}";
    let value: Value = serde_json::from_str(input).expect("JSON");
    let text = String::from_utf8(canonical_json(&value).expect("canonical")).expect("UTF-8");
    let order: String = text.chars().filter(char::is_ascii_digit).collect();
    // "1" is itself a key, so its digit comes twice.
    assert_eq!(order, "21467153");
}

/// RFC 8785 appendix B: bits of a double and its text.
#[test]
fn numbers_are_those_of_rfc_8785_appendix_b() {
    for (bits, text) in [
        (0x0000000000000000, "0"),
        (0x8000000000000000, "0"),
        (0x0000000000000001, "5e-324"),
        (0x8000000000000001, "-5e-324"),
        (0x7fefffffffffffff, "1.7976931348623157e+308"),
        (0x4340000000000000, "9007199254740992"),
        (0x4430000000000000, "295147905179352830000"),
        (0x44b52d02c7e14af5, "9.999999999999997e+22"),
        (0x44b52d02c7e14af6, "1e+23"),
        (0x444b1ae4d6e2ef4e, "999999999999999700000"),
        (0x444b1ae4d6e2ef50, "1e+21"),
        (0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"),
        (0x3eb0c6f7a0b5ed8d, "0.000001"),
        (0x41b3de4355555553, "333333333.3333332"),
        (0xbecbf647612f3696, "-0.0000033333333333333333"),
    ] {
        let value = json!(f64::from_bits(bits));
        let came = canonical_json(&value).expect("canonical");
        assert_eq!(String::from_utf8(came).expect("UTF-8"), text);
    }
}

/// RFC 8032 section 7.1, tests 1 to 3.
#[test]
fn signatures_are_those_of_rfc_8032() {
    for (secret, public, message, signature) in [
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
            "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
            "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
        ),
        (
            "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
            "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
            "af82",
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
        ),
    ] {
        let key = SigningKey::from_bytes(&fixed(secret).expect("a key"));
        let message = unhex(message).expect("hex");
        assert_eq!(hex(key.verifying_key().as_bytes()), public);
        assert_eq!(hex(&key.sign(&message).to_bytes()), signature);
    }
}

fn signed() -> String {
    let record = json!({"car": "Öl-grün", "left_um": {"mean": 42.5, "sd": 3}, "done": [1, 2]});
    sign_record(&record, &[7; 32]).expect("signed").to_string()
}

#[test]
fn a_signed_record_is_genuine_in_any_layout() {
    let text = signed();
    let value: Value = serde_json::from_str(&text).expect("JSON");
    let key = value["key"].as_str().expect("a key").to_owned();
    let pretty = serde_json::to_string_pretty(&value).expect("text");
    for file in [text, pretty] {
        let RecordVerdict::Genuine { is_known_key, .. } =
            verify_record(file.as_bytes(), std::slice::from_ref(&key))
        else {
            panic!("{file} should be genuine");
        };
        assert!(is_known_key);
    }
    let verdict = verify_record(signed().as_bytes(), &[]);
    assert!(verdict.sentence().contains("not known here"));
}

#[test]
fn no_changed_byte_leaves_it_genuine() {
    let text = signed();
    let bytes = text.as_bytes();
    for at in 0..bytes.len() {
        for flip in [0x01, 0x20] {
            let mut other = bytes.to_vec();
            other[at] ^= flip;
            let verdict = verify_record(&other, &[]);
            assert!(
                !matches!(verdict, RecordVerdict::Genuine { .. }),
                "byte {at} ^ {flip}: {verdict:?}"
            );
        }
    }
}

#[test]
fn another_key_or_hash_is_told_apart() {
    let mut value: Value = serde_json::from_str(&signed()).expect("JSON");
    value["record"]["left_um"]["mean"] = json!(52.5);
    let altered = verify_record(value.to_string().as_bytes(), &[]);
    assert_eq!(altered, RecordVerdict::Altered);
    // Whoever also repairs the hash still has no signature.
    let text = canonical_json(&value["record"]).expect("canonical");
    value["sha256"] = json!(hex(&Sha256::digest(&text)));
    let forged = verify_record(value.to_string().as_bytes(), &[]);
    assert_eq!(forged, RecordVerdict::WrongSignature);
}

#[test]
fn what_readers_would_disagree_about_is_refused() {
    let twice = signed().replacen("\"record\":{", "\"record\":{\"car\":\"other\",", 1);
    let verdict = verify_record(twice.as_bytes(), &[]);
    assert!(verdict.sentence().contains("stands twice"), "{verdict:?}");
    assert!(canonical_json(&json!({"n": (1_u64 << 53) + 1})).is_err());
    assert!(canonical_json(&json!({"n": -(1_i64 << 53)})).is_ok());
    for file in [
        &b""[..],
        b"{}",
        b"[]",
        b"\xff",
        b"{\"lapwing_record\":1}",
        b"null",
    ] {
        let verdict = verify_record(file, &[]);
        assert!(
            matches!(verdict, RecordVerdict::Unreadable(_)),
            "{verdict:?}"
        );
    }
    let deep = "[".repeat(100_000);
    assert!(matches!(
        verify_record(deep.as_bytes(), &[]),
        RecordVerdict::Unreadable(_)
    ));
}
